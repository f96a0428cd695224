import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { freshDir, mosquittoPub, removeDir, startProgram, type Program } from '../system/program.ts'
import { launch, openPage, PHONE } from './chromium.ts'

/** What a person who was woken sees of alarms on a phone: how bad it is now, what to do first, and the cones still. */
describe('alarms on a phone', () => {
  const dir = freshDir()
  let program: Program
  let browser: Browser
  let page: Page
  const devices = new Map<string, { device: string; password: string }>()

  const send = (name: string, record: object) =>
    expect(mosquittoPub(program, devices.get(name)!, JSON.stringify([record])).status).toBe(0)
  const bar = () => page.locator('bw-alarms')
  const acknowledge = () => page.getByRole('button', { name: /^Acknowledge: / })

  beforeAll(async () => {
    program = await startProgram(dir)
    const { body: settings } = await program.api('GET', '/api/v1/settings')
    for (const rule of Object.values<{ onDelayS: number }>(settings.rules)) rule.onDelayS = 0
    await program.api('PUT', '/api/v1/settings', settings)
    for (const [name, vessel] of [
      ['bench-1', 'Left cone'],
      ['bench-2', 'Tall cone by the sink'],
      ['bench-3', 'Night batch'],
    ] as const) {
      devices.set(name, program.addDevice(name))
      const { id } = (await program.api('POST', '/api/v1/vessels', { name: vessel, litres: 2 })).body
      await program.api('PUT', `/api/v1/vessels/${id}/channels`, {
        water: `${name}/water`,
        air: `${name}/air`,
      })
      await program.api('POST', '/api/v1/batches', { vesselId: id, litres: 1, cystsG: 2, salinityGpl: 25 })
    }
    browser = await launch()
    ;({ page } = await openPage(browser, { ...PHONE, reducedMotion: 'reduce' }))
    await page.goto(program.http)
  })
  afterAll(async () => {
    await browser.close()
    await program.stop()
    removeDir(dir)
  })

  it('tells where, how bad now in both units, and what to do first, in a third of the screen', async () => {
    send('bench-1', { n: 'water', u: 'Cel', v: 29.6 })
    await acknowledge().waitFor()
    send('bench-1', { n: 'water', u: 'Cel', v: 32.8 })
    await bar().getByText('32.8 °C (91.0 °F) now').waitFor({ timeout: 2000 })
    const { body } = await program.api('GET', '/api/v1/alarms')
    await bar().getByText(body.alarms[0].action, { exact: true }).waitFor()
    expect((await bar().boundingBox())!.height).toBeLessThanOrEqual(230)
    expect((await acknowledge().boundingBox())!.height).toBeGreaterThanOrEqual(48)
  })

  it('shows the rest of its words when asked, and hides them again', async () => {
    const caution = bar().locator('.text')
    expect(await caution.count()).toBe(0)
    const more = bar().getByRole('button', { name: 'More' })
    expect(await more.getAttribute('aria-expanded')).toBe('false')
    await more.click()
    await caution.getByText(/Never reach into the water/).waitFor()
    const less = bar().getByRole('button', { name: 'Less' })
    expect(await less.getAttribute('aria-expanded')).toBe('true')
    // For how long it is put off takes the place of its words: on a phone there is no room for both.
    await bar().getByRole('button', { name: 'Put off' }).click()
    expect(await caution.count()).toBe(0)
    const isInSight = async (last: string) => {
      const list = (await bar().getByRole('list').boundingBox())!
      const { y, height } = (await bar().getByRole('button', { name: last, exact: true }).boundingBox())!
      expect(y + height, last).toBeLessThanOrEqual(list.y + list.height)
    }
    await isInSight('Take out of service…')
    await bar().getByRole('button', { name: 'Take out of service…' }).click()
    await bar().getByRole('button', { name: 'Leave it' }).waitFor()
    await isInSight('Leave it')
    await bar().getByRole('button', { name: 'Leave it' }).click()
    await bar().getByRole('button', { name: 'Put off' }).click()
    await more.click()
    expect(await bar().locator('.choices').count()).toBe(0)
    await less.click()
    expect(await caution.count()).toBe(0)
  })

  it('gives the most urgent the room and the others a line each, and leaves a cone in sight', async () => {
    // Two causes: what comes from one would be one alarm.
    send('bench-2', { n: 'air', u: 'l/min', v: 0 })
    send('bench-3', { n: 'water', u: 'Cel', v: -127 })
    const lines = bar().locator('button.line')
    await expect.poll(() => lines.count()).toBe(2)
    // An alarm is told before the reading that raised it, so its value may follow a moment later.
    await expect
      .poll(async () => (await lines.allInnerTexts()).map(text => text.replace(/\s+/g, ' ')))
      .toEqual([
        expect.stringMatching(/Tall cone by the sink 0\.00 l\/min/),
        expect.stringMatching(/Night batch probe unplugged/),
      ])
    expect(await acknowledge().getAttribute('aria-label')).toMatch(/Left cone/)
    for (const line of await lines.all())
      expect((await line.boundingBox())!.height, 'a target for a wet thumb').toBeGreaterThanOrEqual(48)
    const cone = (await page.locator('bw-cone').first().boundingBox())!
    const views = (await page.getByRole('navigation').boundingBox())!
    expect(cone.y + cone.height / 2, 'at least half of the first cone').toBeLessThan(views.y)
  })

  it('leaves the page its room on a low phone: one line with what is next and how many more, which opens them all', async () => {
    await page.setViewportSize({ width: 360, height: 640 })
    await page.reload()
    const lines = bar().locator('button.line')
    await expect.poll(() => lines.count()).toBe(1)
    expect((await lines.innerText()).replace(/\s+/g, ' ')).toMatch(/Tall cone by the sink, and 1 more show$/)
    expect(await lines.getAttribute('aria-expanded')).toBe('false')
    expect((await bar().boundingBox())!.height).toBeLessThanOrEqual(230)
    await lines.click()
    await expect.poll(() => lines.count()).toBe(3)
    await lines.last().click()
    await expect.poll(() => lines.count()).toBe(1)
    await page.setViewportSize(PHONE.viewport)
    await page.reload()
    await expect.poll(() => lines.count()).toBe(2)
  })

  it('opens another by a tap, puts the focus on it, and goes back to the most urgent after it', async () => {
    await bar().locator('button.line').nth(1).click()
    await bar().getByText('now: probe unplugged').waitFor()
    const focused = await bar().evaluate(host => host.shadowRoot?.activeElement?.getAttribute('aria-label'))
    expect(focused).toMatch(/^Acknowledge: .*Night batch/)
    await acknowledge().click()
    await bar().getByText('32.8 °C (91.0 °F) now').waitFor()
    await bar()
      .getByText(/Night batch, seen/)
      .waitFor()
    // Whoever goes by keyboard or by ear stays where the act was, not at the top of the page.
    await expect
      .poll(() => bar().evaluate(host => host.shadowRoot?.activeElement?.textContent?.replace(/\s+/g, ' ')))
      .toMatch(/Night batch, seen/)
  })

  it('keeps a line each when all were seen', async () => {
    for (let left = 2; left > 0; left--) {
      await acknowledge().click()
      await expect
        .poll(async () => {
          const { body } = await program.api('GET', '/api/v1/alarms')
          return body.alarms.filter((alarm: any) => alarm.state === 'unacknowledged').length
        })
        .toBe(left - 1)
      await expect.poll(() => bar().locator('button.line').count()).toBe(left === 1 ? 3 : 2)
    }
    expect(await acknowledge().count()).toBe(0)
  })
})
