import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { setPassword } from '../../broker/password.ts'
import { openStore } from '../../broker/store/sqlite/open.ts'
import { freshDir, removeDir, startProgram, type Program } from '../system/program.ts'
import { DESK, launch, openPage, PHONE } from './chromium.ts'

const PASSWORD = 'brine and air bubbles'

/** The owner at a desk makes a link; who gets it comes in on a phone. */
describe('letting somebody in', () => {
  const dir = freshDir()
  let program: Program
  let browser: Browser
  let base: string

  beforeAll(async () => {
    const store = await openStore({ dir, threads: false })
    await setPassword(store, PASSWORD, Date.now())
    await store.close()
    // Reachable from other machines, so that people have to sign in.
    program = await startProgram(dir, ['--http', '0.0.0.0:0'])
    base = `http://127.0.0.1:${new URL(program.http).port}`
    browser = await launch()
  })
  afterAll(async () => {
    await browser.close()
    await program.stop()
    removeDir(dir)
  })

  it('takes one link, which is good once, leaves no secret in the address, and gives a helper no settings', async () => {
    const owner = await openPage(browser, DESK)
    await owner.page.goto(`${base}/settings`)
    await owner.page.getByLabel('Password').fill(PASSWORD)
    await owner.page.getByRole('button', { name: 'Sign in' }).click()
    const people = owner.page.locator('bw-who-is-in')
    await people.getByLabel('Name').fill('Jo')
    await people.getByRole('button', { name: 'Make a link' }).click()
    const made = people.locator('.made')
    await made.getByRole('img', { name: 'QR code: the link' }).waitFor()
    const link = (await made.locator('strong').innerText()).trim()
    expect(link).toMatch(/\/join#./)

    const helper = await openPage(browser, PHONE)
    await helper.page.goto(link)
    await helper.page.getByRole('heading', { name: 'You are let in' }).waitFor()
    expect(helper.page.url()).toBe(`${base}/join`)
    await helper.page.getByLabel(/^A password of your own/).fill('short')
    await helper.page.getByRole('button', { name: 'Come in' }).click()
    await helper.page
      .getByText(/10 characters or more|at least 10/i)
      .last()
      .waitFor()
    await helper.page.getByLabel(/^A password of your own/).fill('long enough for Jo')
    await helper.page.getByRole('button', { name: 'Come in' }).click()
    await helper.page.waitForURL(`${base}/`)
    await helper.page.goto(`${base}/settings`)
    await helper.page.getByText('You are signed in as Jo').waitFor()
    expect(await helper.page.locator('bw-who-is-in').count()).toBe(0)
    expect(await helper.page.getByRole('heading', { name: 'When to call' }).isVisible()).toBe(false)

    const late = await openPage(browser, PHONE)
    await late.page.goto(link)
    await late.page.getByRole('button', { name: 'Come in' }).click()
    await late.page.getByRole('alert').first().waitFor()
    expect(await late.page.getByRole('heading', { name: 'You are let in' }).isVisible()).toBe(true)
    // With the password of their own they are in on another browser too.
    await late.page.goto(base)
    await late.page.getByLabel('Password').fill('long enough for Jo')
    await late.page.getByLabel(/^Your name/).fill('Jo')
    await late.page.getByRole('button', { name: 'Sign in' }).click()
    await late.page.getByRole('heading', { level: 1 }).waitFor()

    // Out again: both sessions end at once.
    await owner.page.reload()
    await people.getByRole('button', { name: 'Let Jo in no more…' }).click()
    await people.getByRole('button', { name: 'Yes, Jo is out' }).click()
    await people.getByText('Signed in now: 1').waitFor()
    await helper.page.goto(base)
    await helper.page.getByRole('heading', { name: 'Whose fish room is this?' }).waitFor()
    // Before signing in there is nothing to be shown.
    expect(owner.complaints.filter(each => !each.includes('401'))).toEqual([])
  })

  it('says what to do with a link that is not whole', async () => {
    const { page } = await openPage(browser, PHONE)
    await page.goto(`${base}/join`)
    await page.getByRole('alert').getByText('This link is not whole').waitFor()
  })
})
