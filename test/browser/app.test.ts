import { cpSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { gzipSync } from 'node:zlib'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { freshDir, mosquittoPub, removeDir, startProgram, until, type Program } from '../system/program.ts'
import { bench } from '../web/harness.ts'
import { usePhone } from './rig/phone.ts'

const DASHBOARD = fileURLToPath(new URL('../../dist/dashboard', import.meta.url))
const phone = usePhone()

/** The same files once more, as they go over the wire. */
const PACKED = /\.(br|gz)$/

const shells = () =>
  phone.page.evaluate(async () => {
    const names = await caches.keys()
    const kept = await Promise.all(
      names.map(async name =>
        (await (await caches.open(name)).keys()).map(each => new URL(each.url).pathname),
      ),
    )
    return { names, paths: kept.flat() }
  })

describe('the dashboard as an app', () => {
  const dir = freshDir()
  let program: Program

  beforeAll(async () => {
    program = await startProgram(dir)
    const device = program.addDevice('bench-1')
    const { id } = (await program.api('POST', '/api/v1/vessels', { name: 'Left cone', litres: 2 })).body
    mosquittoPub(program, device, '[{"n":"water","u":"Cel","v":26.5}]')
    await program.api('PUT', `/api/v1/vessels/${id}/channels`, { water: 'bench-1/water' })
  })
  afterAll(async () => {
    await program.stop()
    removeDir(dir)
  })

  it('can be installed: the browser itself finds nothing wrong', async () => {
    await phone.open(program.http)
    const session = await phone.context.newCDPSession(phone.page)
    const { errors, url } = await session.send('Page.getAppManifest')
    expect(url).toBe(`${program.http}/manifest.webmanifest`)
    expect(errors).toEqual([])
    const { installabilityErrors } = await session.send('Page.getInstallabilityErrors')
    // A context of a test is a private window, which is all that is wrong with it.
    expect(installabilityErrors.map(({ errorId }) => errorId).filter(id => id !== 'in-incognito')).toEqual([])
    expect(phone.complaints).toEqual([])
  })

  it('has a manifest whose fields and icons are what they say', async () => {
    const response = await fetch(`${program.http}/manifest.webmanifest`)
    expect(response.headers.get('content-type')).toMatch(/^application\/manifest\+json/)
    const manifest = (await response.json()) as Record<string, any>
    expect(manifest).toMatchObject({ display: 'standalone', start_url: '/', scope: '/', id: '/' })
    expect(manifest.name.length).toBeGreaterThan(0)
    expect(manifest.short_name.length).toBeLessThanOrEqual(12)
    for (const colour of [manifest.theme_color, manifest.background_color])
      expect(colour).toMatch(/^#[0-9a-f]{6}$/)

    const page = await (await fetch(program.http)).text()
    for (const scheme of ['dark', 'light'])
      expect(page).toMatch(
        new RegExp(`name="theme-color" content="#[0-9a-f]{6}" media="\\(prefers-color-scheme: ${scheme}\\)"`),
      )

    const icons = manifest.icons as { src: string; sizes: string; type: string; purpose: string }[]
    for (const purpose of ['any', 'maskable'])
      for (const size of [192, 512])
        expect(icons).toContainEqual(expect.objectContaining({ purpose, sizes: `${size}x${size}` }))
    for (const { src, sizes, type } of icons) {
      const icon = await fetch(program.http + src)
      expect(icon.headers.get('content-type')).toContain(type)
      const bytes = Buffer.from(await icon.arrayBuffer())
      expect(bytes.length).toBeLessThan(20_000)
      // PNG (ISO/IEC 15948), clause 11.2.2: width and height follow the signature and the chunk's head.
      if (type === 'image/png') expect(`${bytes.readUInt32BE(16)}x${bytes.readUInt32BE(20)}`).toBe(sizes)
    }
  })

  it('serves its worker so that every browser takes it, and always the newest', async () => {
    const { headers } = await fetch(`${program.http}/worker.js`)
    expect(headers.get('content-type')).toMatch(/^text\/javascript/)
    expect(headers.get('cache-control')).toBe('no-cache')
    const policy = headers.get('content-security-policy')!
    expect(policy).toContain("default-src 'none'")
    expect(policy).toContain("worker-src 'self'")
    expect(policy).not.toMatch(/unsafe/)
    await phone.open(program.http)
    expect(await phone.page.evaluate(async () => (await navigator.serviceWorker.ready).scope)).toBe(
      `${program.http}/`,
    )
  })

  it('keeps all files of its shell, and not one answer of the broker', async () => {
    await phone.open(program.http)
    await phone.page.getByText('Left cone').first().waitFor()
    await phone.page.goto(`${program.http}/recipe`)
    await phone.page.goto(`${program.http}/settings`)
    const { names, paths } = await shells()
    expect(names).toHaveLength(1)
    const files = readdirSync(DASHBOARD, { recursive: true, encoding: 'utf8' })
      .filter(file => statSync(join(DASHBOARD, file)).isFile() && file !== 'worker.js' && !PACKED.test(file))
      .map(file => (file === 'index.html' ? '/' : `/${file}`))
    expect(paths.sort()).toEqual(files.sort())
  })

  it('starts with less than 60 kB of script and style', async () => {
    // What is fetched ahead in idle moments is not needed yet: here no moment is idle, however slow the machine.
    await phone.page.addInitScript(() => {
      window.requestIdleCallback = () => 0
    })
    const bytes: number[] = []
    phone.page.on('response', response => {
      const path = new URL(response.url()).pathname
      if (/^\/assets\/.*\.(js|css)$/.test(path) && response.fromServiceWorker() === false)
        bytes.push(gzipSync(readFileSync(join(DASHBOARD, path))).length)
    })
    await phone.page.goto(program.http)
    await phone.page.getByText('Left cone').first().waitFor()
    await phone.page.waitForLoadState('networkidle')
    expect(bytes.length).toBeGreaterThan(1)
    expect(bytes.reduce((sum, each) => sum + each, 0)).toBeLessThan(60_000)
  })

  it('opens without the broker, says so, shows no vessel as if it were live, and comes back by itself', async () => {
    await phone.open(program.http)
    await phone.page.getByText('Left cone').first().waitFor()
    const flags = ['--http', new URL(program.http).host, '--mqtt', `127.0.0.1:${program.mqttPort}`]
    await program.kill()
    for (const path of ['/', '/settings', '/vessel/whatever']) {
      await phone.page.goto(program.http + path)
      await phone.page.getByText(/No connection\. The broker does not answer/).waitFor({ timeout: 15_000 })
      expect(await phone.page.getByText('Left cone').count(), path).toBe(0)
    }
    // The page for a link in a message is not the dashboard's to draw.
    await expect(phone.page.goto(`${program.http}/a/token`)).rejects.toThrow(/ERR_CONNECTION_REFUSED/)
    // The browser may still be on its way to its own page of the refusal, and that would cut this off.
    await expect.poll(() => phone.page.goto(program.http).then(Boolean, () => false)).toBe(true)
    program = await startProgram(dir, flags)
    await phone.page.getByText('Left cone').first().waitFor({ timeout: 40_000 })
    expect(await phone.page.getByText(/No connection/).count()).toBe(0)
  })
})

describe('a new build', () => {
  it('takes the place of the old one, with the broker and without it', async () => {
    const dir = freshDir()
    const built = join(dir, 'dashboard')
    // What is changed below would still be sent as it was packed.
    cpSync(DASHBOARD, built, { recursive: true, filter: file => !PACKED.test(file) })
    const { web } = bench({ dashboardDir: built })
    const { port } = await web.listen('127.0.0.1', 0)
    const url = `http://127.0.0.1:${port}`
    try {
      await phone.open(url)
      const before = await shells()

      const index = readFileSync(join(built, 'index.html'), 'utf8')
      const [script] = /assets\/index-[\w-]+\.js/.exec(index)!
      const renamed = script.replace(/index-[\w-]+/, 'index-newbuild1')
      writeFileSync(
        join(built, renamed),
        `document.title='new build';\n${readFileSync(join(built, script), 'utf8')}`,
      )
      writeFileSync(join(built, 'index.html'), index.replace(script, renamed))
      const worker = readFileSync(join(built, 'worker.js'), 'utf8')
      const version = before.names[0]!.replace('brinewatch-shell-', '')
      expect(worker).toContain(version)
      writeFileSync(
        join(built, 'worker.js'),
        worker.replace(version, 'newversion').replaceAll(script, renamed),
      )

      await phone.page.reload()
      // Already the first load after the update is the new build: the old worker asks for the page anew.
      expect(await phone.page.locator('script[type=module]').getAttribute('src')).toBe(`/${renamed}`)
      await until(
        () => shells(),
        ({ names }) => names.length === 1 && names[0] === 'brinewatch-shell-newversion',
      )
      expect((await shells()).names).toEqual(['brinewatch-shell-newversion'])
      await web.close()
      await phone.page.reload()
      expect(await phone.page.locator('script[type=module]').getAttribute('src')).toBe(`/${renamed}`)
      await phone.page.getByText(/No connection/).waitFor({ timeout: 15_000 })
    } finally {
      await web.close()
      removeDir(dir)
    }
  })
})
