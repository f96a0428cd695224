import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { AlarmState } from '../../broker/rules/alarm.ts'
import { openStore } from '../../broker/store/sqlite/open.ts'
import { alarm, assignment, batch, pack, reading, vessel } from '../store/examples.ts'
import { freshDir, removeDir, startProgram, type Program } from '../system/program.ts'
import { DESK, launch, openPage, PHONE } from './chromium.ts'

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const HOUR_MS = 3_600_000
const MINUTE_MS = 60_000

/** What a keeper sees of alarms that were, and of limits that might be. */
describe('the alarm journal and the try-out', () => {
  const dir = freshDir()
  let program: Program
  let browser: Browser
  let page: Page
  let complaints: string[]
  const nowMs = Date.now()
  const startMs = nowMs - 30 * HOUR_MS
  const hotMs = startMs + 10 * HOUR_MS

  beforeAll(async () => {
    await record()
    program = await startProgram(dir)
    // Else it calls before, and what follows from it is silent.
    const { body: settings } = await program.api('GET', '/api/v1/settings')
    settings.rules['water-heading-hot'].enabled = false
    await program.api('PUT', '/api/v1/settings', settings)
    browser = await launch()
    ;({ page, complaints } = await openPage(browser, { ...PHONE, reducedMotion: 'reduce' }))
  })
  afterAll(async () => {
    await browser.close()
    await program.stop()
    removeDir(dir)
  })

  /** A batch of yesterday that stood at 28.5 °C from its tenth hour on, and an alarm of that time with its life. */
  async function record(): Promise<void> {
    const store = await openStore({ dir, clock: () => nowMs })
    await store.keepVessel(vessel('v1', { name: 'Cone 1', createdAtMs: startMs }))
    await store.keepAssignment(assignment('a1', { channel: 'water', offset: 0, fromMs: 0 }))
    await store.keepBatch(
      batch('b1', { startedAtMs: startMs, endedAtMs: startMs + 14 * HOUR_MS, lot: null, note: null }),
    )
    for (let hour = 0; hour < 14; hour++)
      await store.keepPack(
        pack(hour, {
          receivedAtMs: startMs + hour * HOUR_MS,
          readings: Array.from({ length: 120 }, (_, n) =>
            reading(startMs + hour * HOUR_MS + n * 30_000, (hour < 10 ? 27 : 28.5) + (n % 10) / 100),
          ),
        }),
      )
    const line = { atMs: hotMs, vesselId: 'v1', alarmId: 'x1', kind: 'alarm' } as const
    const step = {
      rule: 'water-too-hot',
      priority: 'critical',
      causedBy: null,
      shelvedUntilMs: null,
      noticedAtMs: hotMs,
    }
    const steps = [
      [0, { state: 'unacknowledged', reason: 'above-limit', calls: true, by: null }],
      [7, { state: 'acknowledged', reason: 'acknowledged', calls: false, by: 'Ada' }],
      [40, { state: 'normal', reason: 'back-within-limit', calls: false, by: null }],
    ] as const
    for (const [minutes, more] of steps)
      await store.keepWatch({
        ...line,
        atMs: hotMs + minutes * MINUTE_MS,
        json: JSON.stringify({ ...step, ...more }),
      })
    await store.keepAlarm(
      alarm('x1', {
        state: AlarmState.normal,
        raisedAtMs: hotMs,
        announcedAtMs: hotMs,
        clearedAtMs: hotMs + 40 * MINUTE_MS,
        acknowledgedAtMs: hotMs + 7 * MINUTE_MS,
        acknowledgedBy: 'Ada',
      }),
    )
    await store.close()
  }

  const found = () => page.locator('bw-try-out .found')
  const setLimit = (value: string) => page.locator('#limit').fill(value)

  it('is reached from the room, tells the load beside its marks, and the life of an alarm behind its sign', async () => {
    await page.goto(program.http)
    await page.getByRole('link', { name: 'Alarm journal' }).click()
    await page.getByText('One alarm in', { exact: false }).first().waitFor()
    await page.getByText(/at most 144, and that for people/).waitFor()
    const life = page.locator('.entry details')
    expect(await life.count()).toBe(1)
    expect(await life.evaluate(each => (each as HTMLDetailsElement).open)).toBe(false)
    await page.locator('bw-alarm-week .thread button').click()
    expect(await life.evaluate(each => (each as HTMLDetailsElement).open)).toBe(true)
    await life.getByText('acknowledged by Ada after 7 min').waitFor()
    await life.getByText('over after 40 min').waitFor()
    // The alarm that was picked has the focus, for whoever goes on by keyboard.
    expect(await life.locator('summary').evaluate(each => each.matches(':focus'))).toBe(true)
  })

  it('lists only what is asked for, and goes back in time', async () => {
    await page.getByLabel('Rule').selectOption('air-lost')
    await page.getByText('None.').waitFor()
    await page.getByLabel('Rule').selectOption('')
    await page.locator('.entry').waitFor()
    await page.getByRole('button', { name: 'Month' }).click()
    await page.getByText('The last 30 days', { exact: false }).waitFor()
    await page.getByRole('button', { name: 'Earlier' }).click()
    await page.getByText('Nobody was called', { exact: false }).first().waitFor()
    expect(await page.locator('.entry').count()).toBe(0)
  })

  it('tries another limit out on a past batch, in °C and in °F, and saves it when told to', async () => {
    await page.goto(`${program.http}/try-out?rule=water-too-hot`)
    await found().getByText('nobody is called', { exact: false }).first().waitFor({ timeout: 60_000 })
    await setLimit('28')
    await found().getByText('one alarm is new', { exact: false }).first().waitFor({ timeout: 60_000 })
    const strip = page.locator('bw-tried-strip')
    await strip.getByText(/Too hot .*, new/).waitFor()
    expect(await strip.locator('.then .call').count()).toBe(1)
    expect(await strip.locator('.now .call').count()).toBe(0)
    const settings = async () => (await program.api('GET', '/api/v1/settings')).body
    expect((await settings()).rules['water-too-hot'].limit).toBe(29.4)
    await page.getByRole('button', { name: 'Use these settings' }).click()
    await page.getByText('Saved: this is how it calls from now on.').waitFor()
    expect((await settings()).rules['water-too-hot'].limit).toBe(28)

    await program.api('PUT', '/api/v1/settings', { ...(await settings()), temperatureUnit: 'F' })
    await expect.poll(() => page.locator('#limit').inputValue()).toBe('82.4')
    await page.getByLabel('Limit, °F, as a number').fill('86')
    await page.getByLabel('Limit, °F, as a number').press('Enter')
    await found().getByText('one alarm is gone', { exact: false }).first().waitFor({ timeout: 60_000 })
    await page.getByRole('button', { name: 'Back to how it is' }).click()
    await expect.poll(() => page.locator('#limit').inputValue()).toBe('82.4')
    expect(complaints).toEqual([])
  })

  it.each(['dark', 'light'] as const)('finds nothing wrong with either page: %s', async colorScheme => {
    for (const size of [PHONE, DESK]) {
      const viewport = { width: size.viewport.width, height: 6000 }
      const { page } = await openPage(browser, { ...size, viewport, colorScheme, reducedMotion: 'reduce' })
      for (const path of ['/journal', '/try-out']) {
        await page.goto(program.http + path)
        await page
          .locator('bw-alarm-week .thread button, bw-tried-strip .changes')
          .first()
          .waitFor({ timeout: 60_000 })
        await page.evaluate(axe)
        const { violations } = await page.evaluate(async () =>
          (globalThis as any).axe.run(document, {
            runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'],
          }),
        )
        expect(
          violations.map(
            ({ id, nodes }: any) => `${path}: ${id}: ${nodes.map((node: any) => node.html).join()}`,
          ),
        ).toEqual([])
        // Nothing wider than the screen.
        expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(
          size.viewport.width,
        )
      }
      await page.context().close()
    }
  })
})
