import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { gunzipSync, gzipSync } from 'node:zlib'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { lampRunaway } from '../../sim/scenarios/lamp-runaway.ts'
import { freshDir, removeDir, startProgram, type Program } from '../system/program.ts'
import { DESK, launch, openPage, PHONE } from './chromium.ts'
import { BATCH, keepPastBatch, type PastBatch, VESSEL } from './rig/past-batch.ts'

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const HOUR_MS = 3_600_000

const dir = freshDir()
let program: Program
let browser: Browser
let past: PastBatch

/** Yesterday's dead batch: its lamp ran away at 10 h, its device was off line from 7 h to 8 h 12 min. */
beforeAll(async () => {
  past = await keepPastBatch(dir, { ...lampRunaway, networkOut: [{ fromH: 7, toH: 8.2 }] })
  program = await startProgram(dir)
  browser = await launch()
})
afterAll(async () => {
  await browser.close()
  await program.stop()
  removeDir(dir)
})

describe.each([
  ['a phone, dark', PHONE, 'dark'],
  ['a phone, light', PHONE, 'light'],
  ['a desk, dark', DESK, 'dark'],
  ['a desk, light', DESK, 'light'],
] as const)('a dead batch looked at again at %s', (_, size, colorScheme) => {
  let page: Page
  let complaints: string[]
  const slider = () => page.getByRole('slider', { name: 'Moment of the batch' })
  const moment = () => slider().getAttribute('aria-valuetext')
  const at = () => new URL(page.url()).searchParams.get('at')

  beforeAll(async () => {
    ;({ page, complaints } = await openPage(browser, { ...size, colorScheme, reducedMotion: 'reduce' }))
    await page.goto(`${program.http}/batch?of=${BATCH}`)
  })
  afterAll(async () => {
    await page.context().close()
  })

  it('says what killed it, when, what it cost and what to change', async () => {
    const big = page.locator('bw-causes .big')
    await expect.poll(() => big.textContent()).toMatch(/too hot/)
    const facts = (await page.locator('bw-causes dl').first().innerText()).replace(/\s+/g, ' ')
    expect(facts).toMatch(/Cost \d+ points of hatch/)
    expect(facts).toMatch(/Began .*after 10 h \d+ min/)
    expect(facts).toMatch(/Next time Keep the water below/)
    expect(facts).toMatch(/Sure .* in 100/)
    await expect.poll(() => page.getByText(/Ada acknowledged it .*4 h later/).isVisible()).toBe(true)
    expect(await page.getByText('What the record cannot tell').isVisible()).toBe(true)
  })

  it('opens where the trouble began', async () => {
    await expect.poll(moment).toMatch(/10 h \d+ min after the start, water 29\.\d °C/)
  })

  it('is turned by keys, and its address carries the moment', async () => {
    await slider().focus()
    await page.keyboard.press('Home')
    await expect.poll(moment).toMatch(/0 min after the start/)
    for (let hour = 0; hour < 3; hour++) await page.keyboard.press('PageUp')
    await page.keyboard.press('ArrowRight')
    await expect.poll(moment).toMatch(/3 h 5 min after the start, water 2\d\.\d °C/)
    await expect.poll(at).toBe(new Date(past.startedAtMs + 3 * HOUR_MS + 300_000).toISOString())
    const said = await moment()
    await page.reload()
    await expect.poll(moment).toBe(said)
  })

  it('goes from happening to happening, the list in step', async () => {
    await page.getByRole('button', { name: 'To the next happening' }).click()
    await expect.poll(moment).toMatch(/4 h 0 min/)
    const current = page.locator('bw-happenings [aria-current]')
    expect(await current.innerText()).toMatch(/Knock the ring down/)
    await page.getByRole('button', { name: 'To the next happening' }).click()
    await expect.poll(() => current.innerText()).toMatch(/Ring of cysts knocked down, Ada/)
    await page.getByRole('button', { name: 'To the happening before' }).click()
    await expect.poll(moment).toMatch(/4 h 0 min/)
    await page.getByRole('button', { name: /Too hot: acknowledged/ }).click()
    await expect.poll(() => page.locator('bw-then .alarms').innerText()).toMatch(/Too hot, seen by Ada/)
  })

  it('shows a gap as a gap', async () => {
    // 1 h 12 min, from the last bucket before it: buckets of 36 h in 2,000 are 80 s wide, and begin where the clock has them begin.
    await page.getByRole('button', { name: /No good water reading for 1 h 1[23] min/ }).click()
    await slider().focus()
    for (let press = 0; press < 6; press++) await page.keyboard.press('ArrowRight')
    await expect.poll(moment).toMatch(/water no good reading for 30 min/)
    expect(await page.locator('[data-of=water]').textContent()).toMatch(/no good reading/)
  })

  it('goes to what shows a cause, and is scrubbed without asking the broker anything', async () => {
    await page.locator('bw-causes .evidence button').first().click()
    const asked: string[] = []
    page.on('request', request => request.url().includes('/api/') && asked.push(request.url()))
    await expect.poll(moment).toMatch(/10 h \d+ min after the start/)
    await slider().scrollIntoViewIfNeeded()
    const box = (await slider().boundingBox())!
    await page.mouse.move(box.x + 4, box.y + 20)
    await page.mouse.down()
    for (let step = 0; step <= 40; step++)
      await page.mouse.move(box.x + 4 + ((box.width - 6) * step) / 40, box.y + 20)
    await page.mouse.up()
    await expect.poll(moment).toMatch(/3[56] h \d+ min after the start/)
    await page.mouse.wheel(0, -100)
    await expect.poll(moment).toMatch(/35 h \d+ min after the start/)
    expect(asked).toEqual([])
  })

  it('plays and stops', async () => {
    await slider().focus()
    await page.keyboard.press('Home')
    await page.getByLabel('How fast it plays').selectOption('1800')
    await page.getByRole('button', { name: 'Play', exact: true }).click()
    await expect.poll(moment).toMatch(/[1-9]\d* (h \d+ )?min after the start/)
    await page.getByRole('button', { name: 'Pause' }).click()
    const stopped = await moment()
    await page.waitForTimeout(1200)
    expect(await moment()).toBe(stopped)
  })

  it('fits, and can be used by everybody', async () => {
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)
    expect(wide).toBeLessThanOrEqual(0)
    // As tall as the page, so that nothing lies under the bars at the foot.
    await page.setViewportSize({ width: size.viewport.width, height: 6000 })
    await page.evaluate(axe)
    const found = await page.evaluate(async () => {
      const { violations } = await (window as any).axe.run(document, {
        runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
      })
      return violations.map(
        (each: any) => `${each.id}: ${each.nodes.map((node: any) => node.html).join(' ')}`,
      )
    })
    expect(found).toEqual([])
    await page.setViewportSize(size.viewport)
  })

  it('is found from the vessel and the journal, by the moment of the alarm', async () => {
    await page.goto(`${program.http}/vessel/${VESSEL}`)
    await page
      .getByRole('link', { name: /What went wrong, and replay/ })
      .first()
      .click()
    await expect.poll(() => page.locator('bw-causes .big').textContent()).toMatch(/too hot/)
    await page.goto(`${program.http}/batch?in=${VESSEL}&at=${new Date(past.calledAtMs!).toISOString()}`)
    await expect.poll(moment).toMatch(/10 h \d+ min after the start/)
    await expect.poll(() => page.locator('bw-then .alarms').innerText()).toMatch(/nobody had seen it/)
  })

  it('reads °F where the room does', async () => {
    const { body: settings } = await program.api('GET', '/api/v1/settings')
    await program.api('PUT', '/api/v1/settings', { ...settings, temperatureUnit: 'F' })
    await expect.poll(moment).toMatch(/water \d\d\.\d °F/)
    expect(await page.locator('bw-causes .big').textContent()).toMatch(/\d °F \(\d\d\.\d °C\)/)
    await program.api('PUT', '/api/v1/settings', settings)
    expect(complaints).toEqual([])
  })
})

describe('a dead batch shown to somebody else', () => {
  const faultsOf = async (page: Page): Promise<string[]> => {
    await page.evaluate(axe)
    return page.evaluate(async () => {
      const { violations } = await (window as any).axe.run(document, {
        runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
      })
      return violations.map(
        (each: any) => `${each.id}: ${each.nodes.map((node: any) => node.html).join(' ')}`,
      )
    })
  }

  it('is one page of A4 and of Letter, with nothing cut off, and can be read on a phone', async () => {
    const { page, complaints } = await openPage(browser, { ...PHONE, colorScheme: 'dark' })
    await page.goto(`${program.http}/report?of=${BATCH}`)
    await expect.poll(() => page.locator('bw-report .verdict').textContent()).toMatch(/too hot/)
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(
      0,
    )
    expect(await faultsOf(page)).toEqual([])
    // One set of curves at a time: for a phone, for a wide screen, for paper.
    const curves = page.getByRole('img', { name: /Curves of the batch/ })
    const drawn = () => curves.evaluateAll(all => all.map(each => each.getAttribute('class')))
    expect(await drawn()).toEqual(['narrow'])
    await page.setViewportSize({ width: 1000, height: 900 })
    expect(await drawn()).toEqual(['wide'])
    await page.setViewportSize(PHONE.viewport)
    for (const format of ['A4', 'Letter'] as const) {
      const pdf = (await page.pdf({ format })).toString('latin1')
      expect(pdf.match(/\/Type\s*\/Page\b(?!s)/g)).toHaveLength(1)
    }
    await page.emulateMedia({ media: 'print' })
    const ground = await page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor)
    expect(ground, 'paper, where the page is dark and its ground is printed').toBe('rgb(255, 255, 255)')
    // Letter's width within its margins, at 96 dots an inch.
    await page.setViewportSize({ width: 740, height: 980 })
    const cut = await page.locator('bw-report .sheet').evaluate(each => each.scrollHeight - each.clientHeight)
    expect(cut).toBeLessThanOrEqual(0)
    expect(complaints).toEqual([])
    await page.context().close()
  })

  it('stands beside others, each with its number on every curve', async () => {
    await program.api('POST', '/api/v1/batches', { vesselId: VESSEL, litres: 1, cystsG: 2, salinityGpl: 25 })
    for (const colorScheme of ['dark', 'light'] as const) {
      const { page, complaints } = await openPage(browser, { ...PHONE, colorScheme })
      await page.goto(`${program.http}/compare?of=${BATCH}`)
      await page.locator('bw-small-batch').nth(1).waitFor()
      // Water, hatch, air and light of the dead one.
      await page.locator('bw-overlay canvas').nth(3).waitFor()
      await page.locator('table', { hasText: 'too hot' }).waitFor()
      expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBe(0)
      await page.getByRole('button', { name: 'First tenth out' }).click()
      await expect.poll(() => new URL(page.url()).searchParams.get('by')).toBe('t10')
      await page.setViewportSize({ width: PHONE.viewport.width, height: 6000 })
      expect(await faultsOf(page)).toEqual([])
      expect(complaints).toEqual([])
      await page.context().close()
    }
  })

  it('is brought in from a file, looked at, and removed', async () => {
    const { page, complaints } = await openPage(browser, { ...PHONE, colorScheme: 'light' })
    const response = await fetch(`${program.http}/api/v1/batches/${BATCH}/export`)
    const file = JSON.parse(gunzipSync(Buffer.from(await response.arrayBuffer())).toString())
    file.batch.id = 'from-elsewhere'
    file.vessel.name = 'Their cone'
    await page.goto(`${program.http}/batches`)
    await page.getByLabel('Bring a batch in').setInputFiles({
      name: 'their.batch.json.gz',
      mimeType: 'application/gzip',
      buffer: gzipSync(JSON.stringify(file)),
    })
    await expect.poll(() => page.locator('bw-causes .big').textContent()).toMatch(/too hot/)
    expect(await page.locator('bw-replay-page h1').innerText()).toMatch(/Their cone, batch of/)
    expect(await page.getByText(/From elsewhere, brought in by/).isVisible()).toBe(true)
    expect(await page.getByText('What would have called sooner').isVisible()).toBe(true)
    await page.getByRole('link', { name: 'Beside others' }).click()
    await page.locator('bw-compare-page table', { hasText: 'Their cone' }).waitFor()
    await page.goto(`${program.http}/batches`)
    await page.getByLabel('Bring a batch in').setInputFiles({
      name: 'their.batch.json.gz',
      mimeType: 'application/gzip',
      buffer: Buffer.from('nothing'),
    })
    await expect.poll(() => page.getByText('the file is no JSON').isVisible()).toBe(true)
    // As tall as the page, so that nothing lies under the bar at the foot.
    await page.setViewportSize({ width: PHONE.viewport.width, height: 6000 })
    expect(await faultsOf(page)).toEqual([])
    await page.getByRole('button', { name: /^Remove the batch from Their cone/ }).click()
    await page.getByRole('button', { name: 'Remove it' }).click()
    await expect.poll(() => page.getByText('Their cone').count()).toBe(0)
    expect(complaints.filter(words => !/422/.test(words))).toEqual([])
    await page.context().close()
  })
})
