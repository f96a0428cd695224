import type { Page } from 'playwright-core'
import { expect } from 'vitest'
import type { Program } from '../../system/program.ts'

type Fits = (what: string) => Promise<void>

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
  // Given up on one, it goes on where the other left it.
  await page.getByRole('button', { name: 'Give this set-up up' }).click()
  await other.getByText('This set-up was given up on another screen.').waitFor()
  await other.getByRole('button', { name: 'Go on with it' }).click()
  await air(other).waitFor()
  expect(await air(other).isChecked()).toBe(true)
  expect(await other.getByLabel('Salt, grams per litre').inputValue()).toBe('28')
  // Started on one, the other says so and starts no second one.
  await page.goto(path)
  await page.getByRole('button', { name: /The cysts are in/ }).click()
  await other.getByText('A batch was started in Shared cone on another screen.').waitFor()
  const { batches } = (await program.api('GET', '/api/v1/batches?open=true')).body
  const [batch] = batches.filter((each: any) => each.vesselId === made.body.id)
  expect(batch).toMatchObject({ cystsG: 1.7, salinityGpl: 28 })
  await program.api('POST', `/api/v1/batches/${batch.id}/discard`)
  await program.api('DELETE', `/api/v1/vessels/${made.body.id}`)
  await other.context().close()
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
  await program.api('DELETE', `/api/v1/vessels/${made.body.id}`)
}
