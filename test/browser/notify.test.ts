import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { startReceiver, withStatus, type Receiver } from '../notify/rig/receiver.ts'
import { freshDir, mosquittoPub, removeDir, startProgram, until, type Program } from '../system/program.ts'
import { DESK, launch, openPage, PHONE } from './chromium.ts'

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']

/** Somebody sets up on a phone who is called, tries it out, and answers an alarm from its message. */
describe('who is called, on a phone', () => {
  const dir = freshDir()
  let program: Program
  let receiver: Receiver
  let browser: Browser
  let page: Page
  const called = () => page.locator('bw-who-is-called')
  const button = (name: string | RegExp) => called().getByRole('button', { name })

  beforeAll(async () => {
    program = await startProgram(dir)
    receiver = await startReceiver()
    browser = await launch()
    ;({ page } = await openPage(browser, { ...PHONE, colorScheme: 'dark', reducedMotion: 'reduce' }))
    await page.goto(`${program.http}/settings`)
  })
  afterAll(async () => {
    await browser.close()
    await program.stop()
    await receiver.close()
    removeDir(dir)
  })

  it('says that nobody is called, and adds somebody, with words beside what is wrong', async () => {
    await called()
      .getByText(/^Nobody is called/)
      .waitFor()
    await button('Add a person').click()
    await called().getByLabel('Name', { exact: true }).fill('Night keeper')
    await called().getByLabel('Only at certain hours').check()
    await called().getByLabel('Kind').selectOption('webhook')
    const address = called().getByLabel('Address', { exact: true })
    await address.fill('http://169.254.1.1/x')
    await called().getByLabel('What you call it').fill('Hall bell')
    await button('Save this person').click()
    await called().getByText('No message goes to this address').waitFor()
    expect(await address.getAttribute('aria-invalid')).toBe('true')
    expect(await called().getByLabel('Name', { exact: true }).inputValue()).toBe('Night keeper')
    await address.fill(`${receiver.url}/hall`)
    await button('Save this person').click()
    await called().getByText('At once, 07:00 to 22:00 (Europe/Vienna), critical at any hour.').waitFor()
    expect(
      await called()
        .getByText(/^Nobody is called/)
        .count(),
    ).toBe(0)
  })

  it('keeps a person who is half typed while the mail server is saved, and when the page is loaded anew', async () => {
    await button('Add a person').click()
    const name = called().getByLabel('Name', { exact: true })
    await name.fill('Day keeper')
    await button('Add an address').click()
    await called().getByLabel('What you call it').nth(1).fill('Second bell')
    await called().getByText('How messages leave', { exact: true }).click()
    await button('Save how messages leave').click()
    await called().getByText('Saved.').waitFor()
    expect(await name.inputValue()).toBe('Day keeper')
    await page.reload()
    await expect.poll(() => name.inputValue()).toBe('Day keeper')
    expect(await called().getByLabel('What you call it').nth(1).inputValue()).toBe('Second bell')
    await called().getByText('What you had typed and not saved is here again.').waitFor()
    await button('Leave it').click()
    await page.reload()
    await button('Add a person').waitFor()
  })

  it('says in words what came of a test, and lists it', async () => {
    await button(/^Send a test/).click()
    await called().getByText('The receiver took the message.').waitFor()
    receiver.answer = withStatus(500)
    await button(/^Send a test/).click()
    await called().getByText('The receiver answered with status 500', { exact: true }).waitFor()
    await called().getByText('Failed: The receiver answered with status 500.').waitFor()
    const list = called().getByRole('list', { name: 'Recent messages' }).getByRole('listitem')
    expect(await list.count()).toBe(2)
    receiver.answer = withStatus(200)
  })

  it('is changed and kept, and every target is big enough for a wet thumb', async () => {
    await button(/^Change/).click()
    await called().getByLabel('Called after, minutes').fill('ten')
    await button('Save Night keeper').click()
    await called().getByText('Write a whole number from 0 to 1440.').waitFor()
    await called().getByLabel('Called after, minutes').fill('10')
    for (const each of await called().getByRole('button').all())
      expect((await each.boundingBox())!.height).toBeGreaterThanOrEqual(48)
    await button('Save Night keeper').click()
    await called().getByText('When nobody has answered for 10 min').waitFor()
    const { body } = await program.api('GET', '/api/v1/notify')
    expect(body.people).toMatchObject([
      { afterMinutes: 10, addresses: [{ address: `${receiver.url}/hall` }] },
    ])
  })

  it('answers an alarm by the button behind the link, not by opening it', async () => {
    const device = program.addDevice('bench-1')
    const { body } = await program.api('POST', '/api/v1/vessels', { name: 'Left cone', litres: 1 })
    await program.api('PUT', `/api/v1/vessels/${body.id}/channels`, { water: 'bench-1/water' })
    const settings = (await program.api('GET', '/api/v1/settings')).body
    Object.assign(settings.rules['water-too-hot'], { onDelayS: 0, priority: 'critical' })
    await program.api('PUT', '/api/v1/settings', settings)
    mosquittoPub(program, device, '[{"n":"water","u":"Cel","v":36}]')
    const find = () =>
      receiver.received.find(({ body: text }) => JSON.parse(text).title.includes('Left cone'))
    await until(
      async () => find(),
      found => found !== undefined,
    )
    const { acknowledgeUrl, alarmId, title } = JSON.parse(find()!.body)
    const state = async () =>
      (await program.api('GET', '/api/v1/alarms')).body.alarms.find((each: any) => each.id === alarmId)
    await page.goto(acknowledgeUrl)
    await page.getByRole('heading', { name: title }).waitFor()
    expect((await state()).state).toBe('unacknowledged')
    const answer = page.getByRole('button', { name: 'Acknowledge' })
    expect((await answer.boundingBox())!.height).toBeGreaterThanOrEqual(88)
    for (const scheme of ['dark', 'light'] as const) {
      await page.emulateMedia({ colorScheme: scheme })
      await page.evaluate(axe)
      const found = await page.evaluate(runOnly => (window as any).axe.run({ runOnly }), RULES)
      expect(found.violations).toEqual([])
    }
    await page.keyboard.press('Tab')
    await page.keyboard.press('Enter')
    await page.getByRole('heading', { name: 'Answered' }).waitFor()
    expect(await state()).toMatchObject({ state: 'acknowledged', acknowledgedBy: 'Night keeper' })
  })

  it('is accessible with every form open, dark and light, on a phone and at a desk', async () => {
    for (const scheme of ['dark', 'light'] as const) {
      for (const size of [PHONE, DESK]) {
        // As tall as the page: what lies under the bar at the foot would count as covered.
        const viewport = { width: size.viewport.width, height: 14_000 }
        const opened = await openPage(browser, {
          ...size,
          viewport,
          colorScheme: scheme,
          reducedMotion: 'reduce',
        })
        const who = opened.page.locator('bw-who-is-called')
        await opened.page.goto(`${program.http}/settings`)
        await who.getByRole('button', { name: /^Change/ }).click()
        for (const each of await who.locator('summary').all()) await each.click()
        await who.getByLabel('Sender').waitFor()
        await opened.page.evaluate(axe)
        const found = await opened.page.evaluate(runOnly => (window as any).axe.run({ runOnly }), RULES)
        const wrong = found.violations.map(
          ({ id, nodes }: any) => `${id}: ${nodes.map((node: any) => node.target.join(' ')).join('; ')}`,
        )
        expect(wrong).toEqual([])
        expect(await opened.page.evaluate(() => document.documentElement.scrollWidth)).toBe(
          size.viewport.width,
        )
        await opened.page.context().close()
      }
    }
  })

  it('calls somebody no more after asking once', async () => {
    await page.goto(`${program.http}/settings`)
    await button(/^Call no more/).click()
    await button('Leave it').click()
    await button(/^Call no more/).click()
    await button('Call Night keeper no more').click()
    await called()
      .getByText(/^Nobody is called/)
      .waitFor()
    expect((await program.api('GET', '/api/v1/notify')).body.people).toEqual([])
  })
})
