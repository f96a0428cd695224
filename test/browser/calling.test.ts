import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { freshDir, mosquittoPub, removeDir, startProgram, type Program } from '../system/program.ts'
import { launch, openPage, PHONE } from './chromium.ts'

const MIN_MS = 60_000
const HOUR_MS = 60 * MIN_MS
/** Half an hour passes in 30 s: what ends by itself is waited for. */
const SPEED = 60
/** Above the limit of 29.4 °C, and below it by so little that no probe is taken to have left the water. */
const HOT = 29.5
const FINE = 29

/** What a person does with alarms besides answering them: put off, hush for work, take out of service, let go. */
describe('setting alarms aside on a phone', () => {
  const dir = freshDir()
  let program: Program
  let browser: Browser
  let page: Page
  const complaints: string[][] = []
  let device: { device: string; password: string }
  let vesselId: string

  const send = (n: string, v: number) => {
    const u = { water: 'Cel', air: 'l/min' }[n]
    expect(mosquittoPub(program, device, JSON.stringify([{ n, u, v }])).status).toBe(0)
  }
  const bar = () => page.locator('bw-alarms')
  const aside = () => page.locator('bw-set-aside')
  const button = (name: string | RegExp) => page.getByRole('button', { name })
  const called = () => button(/^Acknowledge: /)
  const alarms = async (): Promise<any[]> => (await program.api('GET', '/api/v1/alarms')).body.alarms
  /** The words of what has the focus, wherever it is. */
  const focused = () =>
    page.evaluate(() => {
      let active = document.activeElement
      while (active?.shadowRoot?.activeElement) active = active.shadowRoot.activeElement
      return (active?.textContent ?? '').trim().replace(/\s+/g, ' ')
    })
  const minutesLeft = async (text: Promise<string>) => Number(/(\d+) min left/.exec(await text)?.[1])
  const openAside = async () => {
    const summary = aside().locator('.summary')
    await summary.waitFor()
    if ((await summary.getAttribute('aria-expanded')) === 'false') await summary.click()
  }

  beforeAll(async () => {
    program = await startProgram(dir, ['--clock-speed', String(SPEED)])
    const { body: settings } = await program.api('GET', '/api/v1/settings')
    for (const rule of Object.values<any>(settings.rules)) Object.assign(rule, { onDelayS: 0, offDelayS: 0 })
    // Nobody sends once a second here, and the hours run.
    for (const rule of ['device-silent', 'power-lost', 'harvest-missed'])
      Object.assign(settings.rules[rule], { enabled: false, limit: 86_400 })
    settings.rules['harvest-missed'].limit = 1440
    expect((await program.api('PUT', '/api/v1/settings', settings)).status).toBe(200)
    device = program.addDevice('bench-1')
    vesselId = (await program.api('POST', '/api/v1/vessels', { name: 'Left cone', litres: 2 })).body.id
    await program.api('PUT', `/api/v1/vessels/${vesselId}/channels`, {
      water: 'bench-1/water',
      air: 'bench-1/air',
    })
    send('water', FINE)
    send('air', 1)
    browser = await launch()
  })
  afterAll(async () => {
    await browser.close()
    await program.stop()
    removeDir(dir)
  })
  beforeEach(async () => {
    await page?.context().close()
    const opened = await openPage(browser, { ...PHONE, reducedMotion: 'reduce' })
    ;({ page } = opened)
    complaints.push(opened.complaints)
    await page.goto(program.http)
  })

  it('shelves for a time that is told and counted down, and calls again by itself when it is over', async () => {
    send('water', HOT)
    await called().waitFor()
    await button('Put off').click()
    for (const choice of await bar().locator('.choices button').all())
      expect((await choice.boundingBox())!.height, 'a target for a wet thumb').toBeGreaterThanOrEqual(48)
    await button('15 min').click()
    await expect.poll(() => called().count()).toBe(0)
    expect(await aside().locator('.summary').innerText()).toMatch(/^1 alarm calls nobody now/)
    await openAside()
    const told = aside().getByText(/^put off by .+ until \d\d:\d\d, \d+ min left$/)
    await told.waitFor()
    const before = await minutesLeft(told.innerText())
    expect(before).toBeLessThanOrEqual(15)
    await expect.poll(() => minutesLeft(told.innerText()), { timeout: 15_000 }).toBeLessThan(before)
    await called().waitFor({ timeout: 30_000 })
    expect((await alarms()).map(({ state }) => state)).toEqual(['unacknowledged'])
  })

  it('shelves what is critical for an hour at most, and offers no more', async () => {
    const [{ id, priority }] = await alarms()
    expect(priority).toBe('critical')
    const { status, body } = await program.api('POST', `/api/v1/alarms/${id}/shelve`, { minutes: 720 })
    expect([status, body.errors?.[0]?.field ?? body.detail]).toEqual([422, 'minutes'])
    await button('Put off').click()
    expect(await bar().locator('.choices button').allInnerTexts()).toEqual([
      '15 min',
      '1 h',
      'Until it is over, at most 1 h',
      'Take out of service…',
    ])
  })

  it('brings back by hand what was shelved', async () => {
    await called().waitFor()
    await button('Put off').click()
    await bar().getByRole('button', { name: '1 h', exact: true }).click()
    await openAside()
    await button('Bring back: Too hot, Left cone').click()
    await called().waitFor()
    expect(await aside().locator('.summary').count()).toBe(0)
  })

  it('shelves until it is over, and then calls for the next one', async () => {
    await button('Put off').click()
    await button('Until it is over, at most 1 h').click()
    await openAside()
    await aside()
      .getByText(/^put off by .+ until it is over, at most until \d\d:\d\d/)
      .waitFor()
    send('water', FINE)
    await expect.poll(() => aside().locator('.summary').count(), { timeout: 5000 }).toBe(0)
    expect(await alarms()).toEqual([])
    send('water', HOT)
    await called().waitFor()
  })

  it('takes a rule out of service once it is said until when and why, and says who did', async () => {
    await button('Put off').click()
    await button('Take out of service…').click()
    const asked = bar().locator('bw-take-out')
    await asked.getByLabel('Until when').selectOption('Until I return it')
    await asked.getByLabel('Why').fill('the lamp is moved')
    expect(
      (await alarms()).map(({ state }) => state),
      'nothing is done before it is sent',
    ).not.toContain('out-of-service')
    await asked.getByRole('button', { name: 'Take out of service' }).click()
    await openAside()
    await aside()
      .getByText(/^out of service by .+ until it is returned: the lamp is moved$/)
      .waitFor()
    send('water', HOT)
    await program.api('GET', '/api/v1/alarms')
    expect(await called().count()).toBe(0)
    await button('Return: Too hot, Left cone').click()
    await called().waitFor()
    await bar().getByText('29.5 °C (85.1 °F) now').waitFor()
  })

  it('keeps up what latches until it is reset, sends nobody to what is over, and keeps the focus', async () => {
    const { body: settings } = await program.api('GET', '/api/v1/settings')
    settings.rules['water-too-hot'].latching = true
    await program.api('PUT', '/api/v1/settings', settings)
    send('water', HOT)
    await called().waitFor()
    const [{ action }] = await alarms()
    await bar().getByText(action, { exact: true }).waitFor()
    send('water', FINE)
    await bar().locator('.name', { hasText: 'Was too hot' }).waitFor()
    const since = () => bar().locator('.since').innerText()
    await expect.poll(since).toMatch(/^limit 29\.4 °C; from \d\d:\d\d to \d\d:\d\d, .+; back now$/)
    expect(await bar().getByText(action, { exact: true }).count()).toBe(0)
    await called().click()
    // Acknowledged it stays in sight, calm, with its reset.
    await expect.poll(() => called().count()).toBe(0)
    await button('Reset: Was too hot, Left cone').click()
    await expect.poll(alarms).toEqual([])
    await expect.poll(() => bar().locator('li').count()).toBe(0)
    await expect.poll(() => page.evaluate(() => document.activeElement !== document.body)).toBe(true)
    delete settings.rules['water-too-hot'].latching
    await program.api('PUT', '/api/v1/settings', settings)
  })

  describe('with a batch', () => {
    beforeAll(async () => {
      const now = Date.parse((await program.api('GET', `/api/v1/vessels/${vesselId}`)).body.latest.waterC.at)
      await program.api('POST', '/api/v1/batches', {
        vesselId,
        litres: 1,
        cystsG: 2,
        salinityGpl: 25,
        startedAt: new Date(now - 4.5 * HOUR_MS).toISOString(),
      })
    })
    beforeEach(() => page.goto(`${program.http}/vessel/${vesselId}`))

    it('says what is to be done, ticks it off, and takes back a tick that was a mistake', async () => {
      const due = page.locator('bw-reminders').first()
      const done = button('Done: Knock the ring down in Left cone')
      await done.waitFor()
      expect((await done.boundingBox())!.height).toBeGreaterThanOrEqual(48)
      await done.click()
      await due.getByText('Done: Knock the ring down in Left cone.').waitFor()
      await expect.poll(focused).toMatch(/^Undo/)
      expect((await program.api('GET', '/api/v1/reminders')).body.reminders).toEqual([])
      await page.keyboard.press('Enter')
      await done.waitFor()
      await expect.poll(focused).toBe('Done')
      await done.click()
      await due.getByText('Done: Knock the ring down in Left cone.').waitFor()
      await page.goto(program.http)
      await page.locator('bw-berth').first().waitFor()
      expect(await page.getByText('Knock the ring down').count(), 'gone in the room too').toBe(0)
    })

    it('hushes air at harvest, says until when, is told of heat all the same, and ends by itself', async () => {
      await page.getByText('Working at it: hush air and light').click()
      await button(/^I am harvesting/).click()
      const hush = page.locator('bw-hush')
      const told = hush.getByText(
        /^Harvest at Left cone: air and light call nobody until \d\d:\d\d, \d+ min left\./,
      )
      await told.waitFor()
      const before = await minutesLeft(told.innerText())
      expect(before).toBeGreaterThan(20)
      expect(before).toBeLessThanOrEqual(30)
      await expect
        .poll(() => aside().locator('.summary').innerText())
        .toMatch(/harvest at Left cone, \d+ min left/i)
      send('air', 0)
      await expect
        .poll(async () => (await alarms()).map(({ state }) => state))
        .toEqual(['suppressed-by-design'])
      expect(await called().count()).toBe(0)
      send('water', HOT)
      await called().waitFor()
      expect(await called().getAttribute('aria-label')).toBe('Acknowledge: Too hot, Left cone')
      send('water', FINE)
      await called().click()
      await expect.poll(() => minutesLeft(told.innerText()), { timeout: 15_000 }).toBeLessThan(before)
      // It ends by itself, and the air that is off still is called for then.
      await button('Acknowledge: Air lost, Left cone').waitFor({ timeout: 40_000 })
      await page.getByText('Working at it: hush air and light').waitFor()
      await bar()
        .getByText(/^Oxygen until about \d\d:\d\d, /)
        .waitFor()
    })

    it('ends a hush early, by hand', async () => {
      send('air', 1)
      await expect
        .poll(async () => (await alarms()).map(({ state }) => state))
        .toEqual(['return-to-normal-unacknowledged'])
      await bar().locator('.name', { hasText: 'Air was lost' }).waitFor()
      await called().click()
      await expect.poll(alarms).toEqual([])
      await page.getByText('Working at it: hush air and light').click()
      await button(/^I am setting up/).click()
      send('air', 0)
      await expect
        .poll(async () => (await alarms()).map(({ state }) => state))
        .toEqual(['suppressed-by-design'])
      await button('Done: watch air and light again').click()
      await button('Acknowledge: Air lost, Left cone').waitFor()
    })
  })

  it('made no complaint on the way', () => expect(complaints.flat()).toEqual([]))
})
