import { createECDH } from 'node:crypto'
import { cpSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { gzipSync } from 'node:zlib'
import type { Browser, BrowserContext, CDPSession, Page, Worker } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { freshDir, mosquittoPub, removeDir, startProgram, until, type Program } from '../system/program.ts'
import { bench } from '../web/harness.ts'
import { launch, PHONE } from './chromium.ts'

const DASHBOARD = fileURLToPath(new URL('../../dist/dashboard', import.meta.url))

let browser: Browser
let context: BrowserContext
let page: Page
let complaints: string[]
beforeAll(async () => {
  browser = await launch()
})
afterAll(() => browser.close())
beforeEach(async () => {
  context = await browser.newContext({ ...PHONE, locale: 'en-GB' })
  page = await context.newPage()
  complaints = []
  page.on('pageerror', error => complaints.push(error.message))
  page.on('console', message => {
    if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text())
  })
})
afterEach(() => context.close())

/** Opens the page and waits until its worker has taken over. */
async function open(url: string): Promise<Worker> {
  const born = context.serviceWorkers()[0] ?? context.waitForEvent('serviceworker')
  await page.goto(url)
  await page.waitForFunction(() => navigator.serviceWorker.controller?.state === 'activated')
  return born
}

const shells = () =>
  page.evaluate(async () => {
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
    await open(program.http)
    const session: CDPSession = await context.newCDPSession(page)
    const { errors, url } = await session.send('Page.getAppManifest')
    expect(url).toBe(`${program.http}/manifest.webmanifest`)
    expect(errors).toEqual([])
    const { installabilityErrors } = await session.send('Page.getInstallabilityErrors')
    // A context of a test is a private window, which is all that is wrong with it.
    expect(installabilityErrors.map(({ errorId }) => errorId).filter(id => id !== 'in-incognito')).toEqual([])
    expect(complaints).toEqual([])
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
    await open(program.http)
    expect(await page.evaluate(async () => (await navigator.serviceWorker.ready).scope)).toBe(
      `${program.http}/`,
    )
  })

  it('keeps all files of its shell, and not one answer of the broker', async () => {
    await open(program.http)
    await page.getByText('Left cone').first().waitFor()
    await page.goto(`${program.http}/recipe`)
    await page.goto(`${program.http}/settings`)
    const { names, paths } = await shells()
    expect(names).toHaveLength(1)
    const files = readdirSync(DASHBOARD, { recursive: true, encoding: 'utf8' })
      .filter(file => statSync(join(DASHBOARD, file)).isFile() && file !== 'worker.js')
      .map(file => (file === 'index.html' ? '/' : `/${file}`))
    expect(paths.sort()).toEqual(files.sort())
  })

  it('starts with less than 120 kB of script and style', async () => {
    const bytes: number[] = []
    page.on('response', response => {
      const path = new URL(response.url()).pathname
      if (/^\/assets\/.*\.(js|css)$/.test(path) && response.fromServiceWorker() === false)
        bytes.push(gzipSync(readFileSync(join(DASHBOARD, path))).length)
    })
    await page.goto(program.http)
    await page.getByText('Left cone').first().waitFor()
    expect(bytes.length).toBeGreaterThan(1)
    expect(bytes.reduce((sum, each) => sum + each, 0)).toBeLessThan(120_000)
  })

  it('opens without the broker, says so, shows no vessel as if it were live, and comes back by itself', async () => {
    await open(program.http)
    await page.getByText('Left cone').first().waitFor()
    const flags = ['--http', new URL(program.http).host, '--mqtt', `127.0.0.1:${program.mqttPort}`]
    await program.kill()
    for (const path of ['/', '/settings', '/vessel/whatever']) {
      await page.goto(program.http + path)
      await page.getByText(/No connection\. The broker does not answer/).waitFor({ timeout: 15_000 })
      expect(await page.getByText('Left cone').count(), path).toBe(0)
    }
    // The page for a link in a message is not the dashboard's to draw.
    await expect(page.goto(`${program.http}/a/token`)).rejects.toThrow(/ERR_CONNECTION_REFUSED/)
    await page.goto(program.http)
    program = await startProgram(dir, flags)
    await page.getByText('Left cone').first().waitFor({ timeout: 40_000 })
    expect(await page.getByText(/No connection/).count()).toBe(0)
  })
})

describe('a call on the phone', () => {
  const dir = freshDir()
  let program: Program
  let worker: Worker

  beforeAll(async () => {
    program = await startProgram(dir)
  })
  afterAll(async () => {
    await program.stop()
    removeDir(dir)
  })
  beforeEach(async () => {
    await context.grantPermissions(['notifications'], { origin: program.http })
    worker = await open(program.http)
  })

  /** As the browser does when its push service has something. */
  async function push(data: string): Promise<void> {
    const session = await context.newCDPSession(page)
    const registrationId = await new Promise<string>(resolve => {
      session.on('ServiceWorker.workerRegistrationUpdated', ({ registrations }) => {
        const own = registrations.find(
          ({ scopeURL, isDeleted }) => !isDeleted && scopeURL === `${program.http}/`,
        )
        if (own) resolve(own.registrationId)
      })
      void session.send('ServiceWorker.enable')
    })
    await session.send('ServiceWorker.deliverPushMessage', { origin: program.http, registrationId, data })
  }
  const call = (over: object = {}) =>
    JSON.stringify({
      about: 'alarm',
      occasion: 'raised',
      priority: 'critical',
      title: 'Move the lamp away: Left cone',
      text: 'Water 29.9 °C (85.8 °F).',
      alarmId: 'a1',
      acknowledgePath: '/a/some-token',
      openPath: '/settings',
      sentAtMs: 1_767_225_600_000,
      ...over,
    })
  const notices = () =>
    page.evaluate(async () =>
      (await (await navigator.serviceWorker.ready).getNotifications()).map(each => ({
        title: each.title,
        body: each.body,
        tag: each.tag,
        staysUp: each.requireInteraction,
        renotify: (each as any).renotify,
        silent: each.silent,
        vibrate: (each as any).vibrate,
        actions: (each as any).actions.map((action: any) => action.title),
      })),
    )
  const shown = (count: number) => until(notices, each => each.length === count)

  /** A tap on the notice, or on its button: the driver has no finger for it. */
  const tap = (action: string) =>
    worker.evaluate(async (action: string) => {
      const scope = globalThis as any
      const [notification] = await scope.registration.getNotifications()
      scope.dispatchEvent(new scope.NotificationEvent('notificationclick', { notification, action }))
    }, action)

  it('shows what to do, stays up, shakes, and has a button to acknowledge', async () => {
    await push(call())
    expect(await shown(1)).toEqual([
      {
        title: 'Move the lamp away: Left cone',
        body: 'Water 29.9 °C (85.8 °F).',
        tag: 'alarm-a1',
        staysUp: true,
        renotify: true,
        silent: false,
        vibrate: expect.arrayContaining([expect.any(Number)]),
        actions: ['Acknowledge'],
      },
    ])
  })

  it('takes the place of the last one about the same alarm, and of no other', async () => {
    await push(call())
    await push(call({ occasion: 'again', title: 'Still: move the lamp away' }))
    await push(call({ alarmId: 'a2' }))
    const titles = (await shown(2)).map(({ title }) => title)
    expect(titles.sort()).toEqual(['Move the lamp away: Left cone', 'Still: move the lamp away'])
  })

  it('is quiet when it says that it is over', async () => {
    await push(call())
    await push(call({ occasion: 'over', acknowledgePath: null, title: 'Over: Left cone' }))
    await until(notices, ([first]) => first?.title === 'Over: Left cone')
    expect(await notices()).toMatchObject([{ silent: true, staysUp: false, renotify: false, actions: [] }])
  })

  it('acknowledges by its button, on the origin that the phone knows', async () => {
    await push(call())
    await shown(1)
    const posted = new Promise<string>(resolve =>
      context.on('request', request => {
        if (request.method() === 'POST') resolve(new URL(request.url()).pathname)
      }),
    )
    await tap('acknowledge')
    expect(await posted).toBe('/a/some-token')
    // This token is nobody's, so the broker refuses: that must not pass for an acknowledgement.
    const [notice] = await until(notices, ([first]) => /^Not acknowledged/.test(first?.title ?? ''))
    expect(notice).toMatchObject({ tag: 'alarm-a1', staysUp: true, silent: false, actions: ['Acknowledge'] })
  })

  it.each(['not json', '{}', '[1]', '""'])(
    'is a call to look even when it cannot be read: %s',
    async data => {
      await push(data)
      expect(await shown(1)).toMatchObject([{ title: 'Look at the fish room', silent: false }])
    },
  )
})

describe('a new build', () => {
  it('takes the place of the old one, with the broker and without it', async () => {
    const dir = freshDir()
    const built = join(dir, 'dashboard')
    cpSync(DASHBOARD, built, { recursive: true })
    const { web } = bench({ dashboardDir: built })
    const { port } = await web.listen('127.0.0.1', 0)
    const url = `http://127.0.0.1:${port}`
    try {
      await open(url)
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

      await page.reload()
      // Already the first load after the update is the new build: the old worker asks for the page anew.
      expect(await page.locator('script[type=module]').getAttribute('src')).toBe(`/${renamed}`)
      await until(
        () => shells(),
        ({ names }) => names.length === 1 && names[0] === 'brinewatch-shell-newversion',
      )
      expect((await shells()).names).toEqual(['brinewatch-shell-newversion'])
      await web.close()
      await page.reload()
      expect(await page.locator('script[type=module]').getAttribute('src')).toBe(`/${renamed}`)
      await page.getByText(/No connection/).waitFor({ timeout: 15_000 })
    } finally {
      await web.close()
      removeDir(dir)
    }
  })
})

describe('"Call me on this phone"', () => {
  const dir = freshDir()
  let program: Program
  beforeAll(async () => {
    program = await startProgram(dir)
  })
  afterAll(async () => {
    await program.stop()
    removeDir(dir)
  })

  it('adds this browser, knows it again, and takes it back', async () => {
    const p256dh = createECDH('prime256v1').generateKeys('base64url')
    // The browser's own push service is on the internet: in its place stands one that gives an address.
    await context.addInitScript((key: string) => {
      let made: object | null = null
      const endpoint = 'https://push.example/v1/this-phone'
      const keys = { p256dh: key, auth: 'BTBZMqHH6r4Tts7J_aSIgg' }
      PushManager.prototype.getSubscription = async () => made as never
      PushManager.prototype.subscribe = async options => {
        if (new Uint8Array(options!.applicationServerKey as ArrayBuffer).length !== 65)
          throw new Error('bad key')
        made = {
          endpoint,
          options,
          toJSON: () => ({ endpoint, expirationTime: null, keys }),
          unsubscribe: async () => ((made = null), true),
        }
        return made as never
      }
    }, p256dh)
    await context.grantPermissions(['notifications'], { origin: program.http })
    await open(`${program.http}/settings`)
    await page.getByLabel('Who is called').fill('Kim')
    await page.getByLabel("This phone's name").fill('night phone')
    await page.getByRole('button', { name: 'Call me on this phone' }).click()
    await page.getByText('night phone (this one)').waitFor()
    expect(await page.getByRole('button', { name: 'Call me on this phone' }).count()).toBe(0)

    const { body } = await program.api('GET', '/api/v1/notify')
    expect(body.people).toMatchObject([
      { name: 'Kim', addresses: [{ kind: 'push', label: 'night phone', address: null }] },
    ])
    await page.getByRole('button', { name: 'Call night phone no more' }).click()
    await page.getByRole('button', { name: 'Call me on this phone' }).waitFor()
    expect((await program.api('GET', '/api/v1/push')).body.phones).toEqual([])
    expect(complaints).toEqual([])
  })

  it('says where it is not to be had, and what to do instead', async () => {
    await context.addInitScript(() => {
      Object.defineProperty(globalThis, 'isSecureContext', { value: false })
      delete (Navigator.prototype as any).serviceWorker
    })
    await page.goto(`${program.http}/settings`)
    await page.getByText(/not encrypted.*https:\/\/.*e-mail or webhook/).waitFor()
    expect(await page.getByRole('button', { name: 'Call me on this phone' }).count()).toBe(0)
    expect(complaints).toEqual([])
  })

  it('says what was refused', async () => {
    await context.addInitScript(() => {
      Object.defineProperty(Notification, 'permission', { get: () => 'denied' })
    })
    await page.goto(`${program.http}/settings`)
    await page.getByText(/told not to show notices/).waitFor()
  })
})
