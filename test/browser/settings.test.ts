import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { PATTERNS } from '../../dashboard/alarm/tones.ts'
import { freshDir, mosquittoPub, removeDir, startProgram, type Program } from '../system/program.ts'
import { DESK, launch, openPage, PHONE } from './chromium.ts'

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')

/** When to call and how it sounds: nothing of it has to be touched, and what is touched changes nothing else. */
describe('the settings of alarms', () => {
  const dir = freshDir()
  let program: Program
  let browser: Browser
  let page: Page
  let complaints: string[]

  const settings = async () => (await program.api('GET', '/api/v1/settings')).body
  const rule = (name: string) => page.locator(`bw-rules [data-rule="${name}"]`)
  const summary = (name: string) => rule(name).locator('summary').first()
  const line = async (name: string) => (await summary(name).innerText()).replace(/\s+/g, ' ')
  const save = async () => {
    await page.getByRole('button', { name: 'Save the limits' }).click()
    await page.locator('bw-rules').getByText('Saved.').waitFor()
  }

  beforeAll(async () => {
    program = await startProgram(dir)
    browser = await launch()
    ;({ page, complaints } = await openPage(browser, { ...PHONE, reducedMotion: 'reduce' }))
    await page.addInitScript(() => {
      const shaken: unknown[] = []
      Object.assign(window, { shaken })
      navigator.vibrate = pattern => (shaken.push(pattern), true)
    })
    await page.goto(`${program.http}/settings`)
    await summary('water-too-hot').waitFor()
  })
  afterAll(async () => {
    await browser.close()
    await program.stop()
    removeDir(dir)
  })

  it('is a line for each rule, with what it is set to in words', async () => {
    expect(await line('water-too-hot')).toBe('Too hot: from 29.4 °C, at once, critical')
    for (const each of await page.locator('bw-rules .rule > summary').all())
      expect((await each.boundingBox())!.height, 'a target for a wet thumb').toBeGreaterThanOrEqual(48)
    expect(await page.getByLabel('Limit, °C').first().isVisible()).toBe(false)
    const { height } = (await page.locator('bw-rules').boundingBox())!
    expect(height, 'three screens of a phone at most').toBeLessThan(3 * PHONE.viewport.height)
  })

  it('keeps all that it does not show, and changes what was typed alone', async () => {
    const before = await settings()
    before.rules['water-too-hot'].reAlarmS = 601.5
    before.rules['air-lost'].latching = true
    before.shelveLimitMin = 121
    before.retentionDays = 77
    await program.api('PUT', '/api/v1/settings', before)
    await expect.poll(() => line('air-lost')).toMatch(/until it is reset$/)
    await summary('water-too-hot').click()
    await rule('water-too-hot').getByLabel('Limit, °C').fill('30')
    await save()
    const wanted = structuredClone(before)
    wanted.rules['water-too-hot'].limit = 30
    expect(await settings()).toEqual(wanted)
    await expect.poll(() => line('water-too-hot')).toMatch(/: from 30\.0 °C, at once, critical$/)
  })

  it('has a field for latching, for the call again, and for how long an alarm may be put off', async () => {
    const hot = rule('water-too-hot')
    await hot.getByText('More', { exact: false }).click()
    await hot.getByLabel(/keep it up until somebody resets it/).check()
    await hot.getByLabel('Call again after, minutes').fill('20')
    await page.getByLabel(/^An alarm may be put off/).fill('3')
    await save()
    const { rules, shelveLimitMin } = await settings()
    expect(rules['water-too-hot']).toMatchObject({ latching: true, reAlarmS: 1200, limit: 30 })
    expect(shelveLimitMin).toBe(180)
    await expect.poll(() => line('water-too-hot')).toMatch(/until it is reset$/)
  })

  it('opens the line that holds what is wrong, and says what is', async () => {
    await summary('air-lost').click()
    const limit = rule('air-lost').getByLabel(/^Limit/)
    await limit.fill('many')
    await summary('air-lost').click()
    expect(await limit.isVisible()).toBe(false)
    await page.getByRole('button', { name: 'Save the limits' }).click()
    await rule('air-lost').getByText('Write a number from 0 to 10.').waitFor()
    expect(await limit.isVisible()).toBe(true)
    await expect
      .poll(() =>
        page.locator('bw-rules').evaluate(host => host.shadowRoot?.activeElement?.getAttribute('name')),
      )
      .toBe('rules.air-lost.limit')
    await limit.fill('0.05')
  })

  it('goes back to the usual, rule by rule, and takes what was typed with it', async () => {
    const hot = rule('water-too-hot')
    await hot.getByText('The usual is: from 29.4 °C, at once, critical.').waitFor()
    await hot.getByLabel('Only after, seconds').fill('99')
    await hot.getByRole('button', { name: 'Back to the usual: Too hot' }).click()
    await hot.getByText('Back to the usual.').waitFor()
    const { rules, shelveLimitMin } = await settings()
    expect(rules['water-too-hot']).toMatchObject({ limit: 29.4, onDelayS: 0 })
    expect(rules['water-too-hot'].latching ?? false).toBe(false)
    expect(rules['air-lost'].latching, 'another rule stays as it is').toBe(true)
    expect(shelveLimitMin).toBe(180)
    expect(await hot.getByLabel('Only after, seconds').inputValue()).toBe('0')
    expect(await hot.getByLabel('Limit, °C').inputValue()).toBe('29.4')
    const focused = await page.locator('bw-rules').evaluate(host => host.shadowRoot?.activeElement?.tagName)
    expect(focused).toBe('SUMMARY')
  })

  it('keeps what was typed and not saved over another page, says so, and lets it be left', async () => {
    const limit = rule('air-fading').getByLabel(/^Limit/)
    await summary('air-fading').click()
    const before = await limit.inputValue()
    await limit.fill('61')
    await page.getByRole('link', { name: 'Room', exact: true }).click()
    await page.getByRole('link', { name: 'Settings', exact: true }).click()
    await expect.poll(() => limit.inputValue()).toBe('61')
    await page.getByText('Typed, not saved: Air fading.').waitFor()
    await page.getByRole('button', { name: 'Put back' }).click()
    await expect.poll(() => limit.inputValue()).toBe(before)
    expect(await page.getByText(/^Typed, not saved/).count()).toBe(0)
  })

  it('says how each priority sounds, lets it be heard and felt, and how long the browser waits for a tap', async () => {
    const choice = page.locator('bw-sound-choice')
    for (const priority of ['critical', 'high', 'low'] as const) {
      await choice.getByText(`every ${PATTERNS[priority].everyS} s`).waitFor()
      await choice.getByRole('button', { name: `Hear it: ${priority}` }).click()
      await expect
        .poll(() => page.evaluate(() => (window as any).shaken.at(-1)))
        .toEqual([...PATTERNS[priority].shake])
    }
    await choice.getByText(/^Sound is off/).waitFor()
    await choice.getByRole('button', { name: 'Turn sound on' }).click()
    await choice.getByText(/until this page is closed\. Opened again, it is silent until you tap/).waitFor()
  })

  it('shakes for an alarm while sound is on, and stops when it is acknowledged', async () => {
    const device = program.addDevice('bench-1')
    const { id } = (await program.api('POST', '/api/v1/vessels', { name: 'Left cone', litres: 2 })).body
    await program.api('PUT', `/api/v1/vessels/${id}/channels`, { water: 'bench-1/water' })
    mosquittoPub(program, device, '[{"n":"water","u":"Cel","v":31}]')
    const shaken = () => page.evaluate(() => (window as any).shaken.at(-1))
    await expect.poll(shaken, { timeout: 5000 }).toEqual([...PATTERNS.critical.shake])
    await page.getByRole('button', { name: /^Acknowledge: / }).click()
    await expect.poll(shaken).toBe(0)
  })

  const looks = (['dark', 'light'] as const).flatMap(scheme =>
    ([PHONE, DESK] as const).map(size => ({ scheme, size, name: `${scheme}, ${size.viewport.width} px` })),
  )
  it.each(looks)('finds nothing wrong with every line open: $name', async ({ scheme, size }) => {
    const viewport = { width: size.viewport.width, height: 14_000 }
    const look = { ...size, viewport, colorScheme: scheme, reducedMotion: 'reduce' } as const
    const { page: looked } = await openPage(browser, look)
    await looked.goto(`${program.http}/settings`)
    const lines = looked.locator('bw-rules .rule > summary')
    await lines.first().waitFor()
    for (const each of await lines.all()) await each.click()
    await looked.evaluate(axe)
    const found = await looked.evaluate(() =>
      (window as any).axe.run({
        runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
      }),
    )
    const wrong = found.violations.map(
      (violation: any) =>
        `${violation.id}: ${violation.nodes.map((node: any) => node.target.join(' ')).join('; ')}`,
    )
    expect(wrong).toEqual([])
    await looked.context().close()
  })

  it('made no complaint on the way', () => expect(complaints).toEqual([]))
})
