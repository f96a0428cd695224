import type { Page } from 'playwright-core'
import { expect } from 'vitest'
import type { Program } from '../../system/program.ts'

type Fits = (what: string) => Promise<void>

/** What a page shows is not taken away beneath it: its requests for that would be refused on its console. */
const away = (page: Page) => page.goto('about:blank')

/** A set-up on a phone and at a desk at once: ticks and amounts appear on the other screen, and nothing that either wrote is lost. */
export async function setUpOnTwoScreens(
  program: Program,
  page: Page,
  second: Promise<{ page: Page }>,
  fits: Fits,
): Promise<void> {
  const { page: other } = await second
  const made = await program.api('POST', '/api/v1/vessels', { name: 'Shared cone', litres: 2 })
  const path = `${program.http}/set-up?of=${made.body.id}`
  await Promise.all([page.goto(path), other.goto(path)])
  const air = (of: Page) => of.getByRole('checkbox', { name: /Start the air/ })
  await Promise.all([air(page).waitFor(), air(other).waitFor()])
  const atMs = Date.now()
  await air(page).check()
  await expect.poll(() => air(other).isChecked()).toBe(true)
  expect(Date.now() - atMs).toBeLessThan(2000)
  // Two fields at once: each screen has both.
  await Promise.all([
    page.getByLabel('Cysts, grams').fill('1.7'),
    other.getByLabel('Salt, grams per litre').fill('28'),
  ])
  await expect.poll(() => other.getByLabel('Cysts, grams').inputValue()).toBe('1.7')
  await expect.poll(() => page.getByLabel('Salt, grams per litre').inputValue()).toBe('28')
  // One field: what does not stand is said, and can be had back.
  await other.getByLabel('Cysts, grams').fill('1.9')
  await page.getByText('Cysts, grams: 1.7 was written here, then 1.9 on another screen.').waitFor()
  await fits('what two screens wrote')
  await page.getByRole('button', { name: 'Write 1.7' }).click()
  await other.getByText('Cysts, grams: 1.9 was written here, then 1.7 on another screen.').waitFor()
  await other.getByRole('button', { name: 'Leave 1.7' }).click()
  // Out of reach, a tick says so beside it, and what is typed gets through later by itself.
  await other.context().setOffline(true)
  const salt = other.getByRole('listitem').filter({ hasText: 'Stir in the salt' })
  await salt.getByRole('checkbox').click()
  await salt.getByText('The broker cannot be reached.').waitFor()
  expect(await salt.getByRole('checkbox').isChecked()).toBe(false)
  await other.getByLabel('Salt, grams per litre').fill('29')
  await other.waitForTimeout(600)
  await other.context().setOffline(false)
  await expect
    .poll(() => page.getByLabel('Salt, grams per litre').inputValue(), { timeout: 10_000 })
    .toBe('29')
  await salt.getByText('The broker cannot be reached.').waitFor({ state: 'detached' })
  // Given up on one, it goes on where the other left it.
  await page.getByRole('button', { name: 'Give this set-up up' }).click()
  await other.getByText('This set-up was given up on another screen.').waitFor()
  await other.getByRole('button', { name: 'Go on with it' }).click()
  await air(other).waitFor()
  expect(await air(other).isChecked()).toBe(true)
  expect(await other.getByLabel('Salt, grams per litre').inputValue()).toBe('29')
  // Started on one, the other says so and starts no second one.
  await page.goto(path)
  await page.getByRole('button', { name: /The cysts are in/ }).click()
  await other.getByText('A batch was started in Shared cone on another screen.').waitFor()
  const { batches } = (await program.api('GET', '/api/v1/batches?open=true')).body
  const [batch] = batches.filter((each: any) => each.vesselId === made.body.id)
  expect(batch).toMatchObject({ cystsG: 1.7, salinityGpl: 29 })
  await away(page)
  await program.api('POST', `/api/v1/batches/${batch.id}/discard`)
  await program.api('DELETE', `/api/v1/vessels/${made.body.id}`)
  await other.context().close()
}

/** A harvest on two screens: a count that is not saved is asked for before the end, and told of where the other screen ended the batch. */
export async function harvestOnTwoScreens(
  program: Program,
  page: Page,
  second: Promise<{ page: Page }>,
  fits: Fits,
): Promise<void> {
  const { page: other } = await second
  const made = await program.api('POST', '/api/v1/vessels', { name: 'Counted cone', litres: 2 })
  const dose = { vesselId: made.body.id, litres: 2, cystsG: 3, salinityGpl: 25 }
  const begin = (since = {}) => program.api('POST', '/api/v1/batches', { ...dose, ...since })
  // Old enough that nobody asks whether it is the right one.
  const batch = await begin({ startedAt: new Date(Date.now() - 26 * 3_600_000).toISOString() })
  const path = `${program.http}/harvest?of=${made.body.id}`
  await Promise.all([page.goto(path), other.goto(path)])
  for (const each of [page, other]) await each.getByRole('checkbox', { name: /Air off/ }).waitFor()
  // One right after the other: the second waits for the first.
  await page.locator('bw-harvest').evaluate(walk => {
    for (const step of ['air-off', 'light-below'])
      walk.shadowRoot?.querySelector<HTMLInputElement>(`[data-step="${step}"]`)?.click()
  })
  for (const name of [/Air off/, /Light at the bottom/])
    await expect.poll(() => other.getByRole('checkbox', { name }).isChecked()).toBe(true)
  await page.getByRole('button', { name: 'Count a sample' }).click()
  await page.getByRole('button', { name: /^\+1/ }).first().click()
  await page.getByRole('button', { name: 'Harvested: end the batch' }).click()
  await page.getByText('Counted and not saved: 1 nauplius.').waitFor()
  await fits('what is asked of a count before the end')
  await page.getByRole('button', { name: 'Back to the count' }).click()
  await other.getByRole('button', { name: 'Harvested: end the batch' }).click()
  await other.getByRole('button', { name: 'I do not know: end the batch' }).click()
  const ended = page.getByText('The batch in Counted cone was ended on another screen.')
  await ended.waitFor()
  await page.getByText('Counted here and not saved: 1 nauplius.').waitFor()
  await fits('a harvest that was ended elsewhere')
  // The next batch is not the one that was harvested here.
  const next = await begin()
  await page.waitForTimeout(300)
  await ended.waitFor()
  await away(page)
  await other.context().close()
  for (const { body } of [batch, next]) await program.api('POST', `/api/v1/batches/${body.id}/discard`)
  await program.api('DELETE', `/api/v1/vessels/${made.body.id}`)
}

/** The form that starts a batch says what of it is typed and not saved, over a reload too, and puts it back. */
export async function draftOfStart(program: Program, page: Page, fits: Fits): Promise<void> {
  const made = await program.api('POST', '/api/v1/vessels', { name: 'Draft cone', litres: 2 })
  const form = page.locator('bw-start-batch')
  await page.goto(`${program.http}/vessel/${made.body.id}`)
  const usual = await form.getByLabel('Cysts, grams').inputValue()
  expect(await form.getByText(/^Typed, not saved/).count()).toBe(0)
  await form.getByLabel('Cysts, grams').fill('3.3')
  await form.getByText('Earlier', { exact: true }).click()
  await page.reload()
  await form.getByText('Typed, not saved: cysts; when the cysts went in.').waitFor()
  await fits('what is typed and not saved')
  await form.getByRole('button', { name: 'Put back' }).click()
  expect(await form.getByLabel('Cysts, grams').inputValue()).toBe(usual)
  expect(await form.getByLabel('Now', { exact: true }).isChecked()).toBe(true)
  await page.reload()
  await expect.poll(() => form.getByLabel('Cysts, grams').inputValue()).toBe(usual)
  expect(await form.getByText(/^Typed, not saved/).count()).toBe(0)
  await away(page)
  await program.api('DELETE', `/api/v1/vessels/${made.body.id}`)
}
