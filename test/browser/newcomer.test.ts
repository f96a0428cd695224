import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { freshDir, mosquittoPub, removeDir, startProgram, type Program } from '../system/program.ts'
import { DESK, launch, openPage, PHONE } from './chromium.ts'

/** From an empty room to an answered alarm, with an MQTT client that is not ours, on a phone and on a desk. */
describe.each([
  ['a phone', PHONE, 'dark'],
  ['a desk', DESK, 'light'],
] as const)('a newcomer at %s', (_, size, colorScheme) => {
  const dir = freshDir()
  let program: Program
  let browser: Browser
  let page: Page
  let complaints: string[]
  let device: { device: string; password: string }

  const send = (records: object[]) =>
    expect(mosquittoPub(program, device, JSON.stringify(records)).status).toBe(0)

  const shown = (text: string) => page.getByText(text).locator('visible=true').first()

  beforeAll(async () => {
    program = await startProgram(dir)
    device = program.addDevice('bench-1')
    browser = await launch()
    ;({ page, complaints } = await openPage(browser, { ...size, colorScheme }))
    await page.goto(program.http)
  })
  afterAll(async () => {
    await browser.close()
    await program.stop()
    removeDir(dir)
  })

  it('is told what to do in an empty room', async () => {
    await page.getByText('mosquitto_pub').first().waitFor()
    expect(await page.getByText(/licensed/).count()).toBeGreaterThan(0)
  })

  it('sees a new device the moment it speaks, and makes a vessel for it', async () => {
    send([
      { n: 'water', u: 'Cel', v: 24.9 },
      { n: 'air', u: 'l/min', v: 0.6 },
      { n: 'light', u: 'lx', v: 2100 },
    ])
    await page.getByText(/bench-1 is new: water 24\.9 °C/).waitFor()
    await page.getByRole('button', { name: 'A new vessel' }).click()
    const fresh = page.getByRole('region', { name: 'New device bench-1' })
    await fresh.getByLabel('Water it takes, in litres').fill('2')
    await page.getByRole('button', { name: 'Make it' }).click()
    await page
      .getByRole('link', { name: /bench-1/ })
      .first()
      .click()
    await page.waitForURL(/\/vessel\//)
  })

  it('starts a batch', async () => {
    await page.getByLabel('Water, litres').fill('1')
    await page.getByLabel('Cysts, grams').fill('2')
    await page.getByLabel('Salt, grams per litre').fill('25')
    await page.getByRole('button', { name: 'Start the batch' }).click()
    await page
      .getByText(/Harvest from/)
      .first()
      .waitFor()
    const { body } = await program.api('GET', '/api/v1/batches?open=true')
    expect(body.batches).toMatchObject([{ litres: 1, cystsG: 2, salinityGpl: 25, endedAt: null }])
  })

  it('shows a mistake beside its field', async () => {
    const id = (await program.api('GET', '/api/v1/batches?open=true')).body.batches[0].id
    await page.getByRole('button', { name: /end the batch/ }).click()
    await page.getByRole('button', { name: 'Given up', exact: true }).click()
    await page.getByLabel('Cysts, grams').waitFor()
    const { body: ended } = await program.api('GET', `/api/v1/batches/${id}`)
    expect(ended).toMatchObject({ endedAt: expect.any(String), note: 'given up' })
    // What has ended is not gone: it stands among the past batches, and its curves can be looked at.
    const past = page.locator('bw-past-batches').getByRole('button')
    await past.getByText('1 L, 2 g cysts, 25 g/L salt, given up').waitFor()
    await past.click()
    await page.locator('bw-curves figure canvas').first().waitFor()
    expect(await page.locator('bw-curves button[aria-pressed="true"]').count()).toBe(0)
    await page.getByLabel('Cysts, grams').fill('0')
    await page.getByRole('button', { name: 'Start the batch' }).click()
    await page.waitForFunction(() => document.activeElement !== null && document.body.innerText !== undefined)
    const invalid = page.locator('[aria-invalid="true"]')
    await invalid.first().waitFor()
    expect(await invalid.first().getAttribute('name')).toBe('cystsG')
    await page.getByLabel('Cysts, grams').fill('2')
    await page.getByRole('button', { name: 'Start the batch' }).click()
    await page
      .getByText(/Harvest from/)
      .first()
      .waitFor()
  })

  it('draws readings live, as they come', async () => {
    send([{ n: 'water', u: 'Cel', v: 27.4 }])
    await shown('27.4').waitFor({ timeout: 2000 })
    expect(await page.locator('canvas').count()).toBeGreaterThanOrEqual(3)
    const inked = await page
      .locator('canvas')
      .first()
      .evaluate(canvas => {
        const { width, height } = canvas as HTMLCanvasElement
        const pixels = (canvas as HTMLCanvasElement).getContext('2d')!.getImageData(0, 0, width, height).data
        return pixels.some((value, i) => i % 4 === 3 && value > 0)
      })
    expect(inked).toBe(true)
  })

  it('sees the alarm when the vessel overheats, and answers it', async () => {
    send([{ n: 'water', u: 'Cel', v: 30.2 }])
    const bar = page.getByRole('button', { name: /^Acknowledge: / })
    await bar.waitFor({ timeout: 2000 })
    await page
      .getByText(/30\.2 °C \(86\.4 °F\)/)
      .first()
      .waitFor()
    expect(await page.title()).toMatch(/1/)
    const box = (await bar.boundingBox())!
    expect(box.height, 'a target for a wet thumb').toBeGreaterThanOrEqual(48)
    expect(box.y + box.height, 'on the first screen, without scrolling').toBeLessThanOrEqual(
      size.viewport.height,
    )
    await bar.click()
    await expect
      .poll(async () => (await program.api('GET', '/api/v1/alarms')).body.alarms[0]?.state)
      .toBe('acknowledged')
    await expect.poll(() => bar.count()).toBe(0)
  })

  it('fits the screen', async () => {
    for (const path of ['/', '/devices', '/settings', new URL(page.url()).pathname]) {
      await page.goto(program.http + path)
      await page.getByText('bench-1').first().waitFor({ state: 'attached' })
      const overflow = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)
      expect(overflow, `${path} scrolls sideways`).toBeLessThanOrEqual(0)
    }
  })

  it('says that it is off line, and goes on by itself', async () => {
    await page.goto(program.http)
    await shown('30.2').waitFor()
    const flags = ['--http', new URL(program.http).host, '--mqtt', `127.0.0.1:${program.mqttPort}`]
    await program.kill()
    await page
      .getByText(/off ?line|no connection|not connected/i)
      .first()
      .waitFor({ timeout: 10_000 })
    const before = complaints.splice(0)
    expect(
      before.filter(text => !/WebSocket|ERR_CONNECTION_REFUSED|Failed to load resource/.test(text)),
    ).toEqual([])
    program = await startProgram(dir, flags)
    send([{ n: 'water', u: 'Cel', v: 28.1 }])
    await shown('28.1').waitFor({ timeout: 30_000 })
    complaints.splice(0)
  })

  it('has nothing to complain of', () => {
    expect(complaints).toEqual([])
  })
})
