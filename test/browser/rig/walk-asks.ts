import type { Page } from 'playwright-core'
import { expect } from 'vitest'
import type { Program } from '../../system/program.ts'
import type { Hands } from './hands.ts'

/**
 * A minute after its start nothing of a batch can be out: it is asked about before anything of a harvest is begun. Its start was
 * written down a day too late, and is set right here.
 */
export async function askedIfRight(program: Program, page: Page, hands: Hands): Promise<void> {
  await page
    .getByText(/^This batch is .* old: nothing of it can have hatched yet\. Is it the right/)
    .waitFor()
  expect((await program.api('GET', '/api/v1/walks')).body.walks).toEqual([])
  const [{ id }] = (await program.api('GET', '/api/v1/batches?open=true')).body.batches
  const startedAt = new Date(Date.now() - 26 * 3_600_000).toISOString()
  expect((await program.api('PATCH', `/api/v1/batches/${id}`, { startedAt })).status).toBe(200)
  await hands.tap(page.getByRole('button', { name: 'Harvest it all the same' }))
}

/** With the cysts in, the one button that is left is under the finger. */
export async function ledToTheStart(page: Page): Promise<void> {
  const start = page.getByRole('button', { name: /The cysts are in/ })
  await expect.poll(() => start.evaluate(each => each.matches(':focus'))).toBe(true)
  await page.getByText('The batch has not begun yet: start it here.').waitFor()
}
