import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { Browser, Locator, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { freshDir, mosquittoPub, removeDir, startProgram, until, type Program } from '../system/program.ts'
import { DESK, launch, openPage, PHONE } from './chromium.ts'

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const HOUR_MS = 3_600_000

/** What a breeder sees of a hatch on a phone, and writes down of it. */
describe('a hatch on a phone', () => {
  const dir = freshDir()
  let program: Program
  let browser: Browser
  let page: Page
  let complaints: string[]
  let vesselId: string
  let batchId: string
  const startedMs = Date.now() - 18 * HOUR_MS

  const events = async (): Promise<any[]> =>
    (await program.api('GET', `/api/v1/batches/${batchId}/events`)).body.events
  const forecast = async (): Promise<any> =>
    (await program.api('GET', `/api/v1/vessels/${vesselId}`)).body.forecast
  const button = (name: string | RegExp): Locator => page.getByRole('button', { name })
  const log = (): Locator => page.getByRole('list', { name: 'What was seen' }).getByRole('listitem')

  beforeAll(async () => {
    program = await startProgram(dir)
    const device = program.addDevice('bench-1')
    vesselId = (await program.api('POST', '/api/v1/vessels', { name: 'Left cone', litres: 2 })).body.id
    await program.api('PUT', `/api/v1/vessels/${vesselId}/channels`, { water: 'bench-1/water' })
    const batch = { vesselId, litres: 1, cystsG: 2, salinityGpl: 25, lot: 'spring' }
    const startedAt = new Date(startedMs).toISOString()
    batchId = (await program.api('POST', '/api/v1/batches', { ...batch, startedAt })).body.id
    mosquittoPub(program, device, '[{"n":"water","u":"Cel","v":24.6}]')
    // The forecast follows a first reading within half a minute.
    await until(forecast, answer => (answer?.why ?? []).length > 0, 60_000)
    browser = await launch()
    ;({ page, complaints } = await openPage(browser, {
      ...PHONE,
      colorScheme: 'dark',
      reducedMotion: 'reduce',
    }))
    await page.goto(`${program.http}/vessel/${vesselId}`)
  })
  afterAll(async () => {
    await browser.close()
    await program.stop()
    removeDir(dir)
  })

  it('says in one tap why it is late', async () => {
    const line = page.getByText(/^Later than planned: \+\d/)
    await line.waitFor()
    const summary = page.locator('bw-why summary')
    expect((await summary.boundingBox())!.height, 'a target for a wet thumb').toBeGreaterThanOrEqual(48)
    const reason = page.locator('bw-why li').first()
    expect(await reason.isVisible()).toBe(false)
    await summary.click()
    await reason.waitFor()
    const { why } = await forecast()
    const said = await page.locator('bw-why li').allInnerTexts()
    expect(said).toHaveLength(why.length)
    for (const text of said) expect(text).toMatch(/24\.6 °C.*\+(\d+ h)?/)
  })

  it('writes first swimmers down in one tap, sets their time right, and takes them back', async () => {
    const tap = button('First swimmers now')
    expect((await tap.boundingBox())!.height).toBeGreaterThanOrEqual(64)
    await tap.click()
    await page.getByText(/^First swimmers at /).waitFor()
    expect(await events()).toMatchObject([{ kind: 'first-swimmers', withdrawnAt: null }])

    await button('At another time?').click()
    const earlier = new Date(Date.now() - 2 * HOUR_MS)
    const local = earlier
      .toLocaleString('sv-SE', { timeZone: 'Europe/Vienna' })
      .slice(0, 16)
      .replace(' ', 'T')
    await page.getByLabel('When were the first seen?').fill(local)
    await button('Set it right').click()
    await expect.poll(() => log().count()).toBe(2)
    const corrected = await events()
    expect(corrected.filter(event => event.withdrawnAt === null)).toHaveLength(1)
    expect(
      Math.abs(Date.parse(corrected.find(event => !event.withdrawnAt).at) - earlier.getTime()),
    ).toBeLessThan(60_000)

    await button(/^Undo/).click()
    await tap.waitFor()
    expect((await events()).every(event => event.withdrawnAt !== null)).toBe(true)
    // What was taken back is struck through, not gone.
    expect(await page.locator('bw-seen del').count()).toBe(2)
  })

  it('counts samples by tapping and by typing, with words after each, and saves them', async () => {
    await button('Count a sample').first().click()
    await page.getByLabel('Counted, mL').fill('0.5')
    const pad = button(/^\+1 nauplius/)
    expect((await pad.boundingBox())!.height).toBeGreaterThanOrEqual(96)
    for (let taps = 0; taps < 3; taps++) await pad.click()
    await button(/^−1 nauplius/).click()
    const field = page.getByRole('textbox', { name: 'Nauplii' })
    expect(await field.inputValue()).toBe('2')
    const words = page.locator('bw-count-form .words')
    await expect.poll(() => words.innerText()).toMatch(/\d/)
    const after1 = await words.innerText()

    await field.fill('many')
    await button('Next sample').click()
    await page.getByText('Write a whole number.').waitFor()
    await field.fill('60')
    await button('Next sample').click()
    await page.getByText('1: 60 nauplii in 0.5 mL').waitFor()
    expect(await field.inputValue()).toBe('')
    await button('Count umbrellas and unhatched too').click()
    await field.fill('70')
    await page.getByRole('textbox', { name: 'Umbrellas' }).fill('4')
    await page.getByRole('textbox', { name: 'Unhatched' }).fill('20')
    await expect.poll(() => words.innerText()).not.toBe(after1)

    await button('Save the count').click()
    await log()
      .getByText(
        /Counted 2 samples: 130 nauplii, 4 umbrellas \(of one sample\), 20 unhatched \(of one sample\) in 1 mL/,
      )
      .first()
      .waitFor()
    const [count] = (await events()).filter(event => event.kind === 'count')
    expect(count).toMatchObject({
      harvest: false,
      samples: [
        { sampleMl: 0.5, nauplii: 60 },
        { sampleMl: 0.5, nauplii: 70, umbrella: 4, embryos: 20 },
      ],
    })
    // What was typed last is there again.
    await button('Count a sample').first().click()
    expect(await page.getByLabel('Counted, mL').inputValue()).toBe('0.5')
    await button('No count').click()
  })

  it('shows a refusal of the broker beside its field', async () => {
    // By the count most are out: it is asked since when, before the tap moves anything.
    await button('First swimmers now').click()
    await page.getByText(/^Since when\? By the count 74\s% were out/).waitFor()
    expect((await events()).filter(event => event.kind === 'first-swimmers' && !event.withdrawnAt)).toEqual(
      [],
    )
    await button('For some hours').click()
    await page.getByLabel('When were the first seen?').fill('2020-01-01T10:00')
    await page.locator('bw-first-swimmers').getByRole('button', { name: 'Write it down' }).click()
    await page.getByText(/before the batch's start/).waitFor()
    await button('Leave it').click()
    await button('First swimmers now').waitFor()
  })

  it('moves the window with the food that is wanted, and says by how much', async () => {
    const before = (await forecast()).harvest.best
    await page.getByRole('radio', { name: 'Smallest' }).check({ force: true })
    await page.getByText(/The window's best moves by −\d/).waitFor()
    const after = await until(forecast, answer => answer.goal === 'smallest')
    expect(Date.parse(after.harvest.best)).toBeLessThan(Date.parse(before))
    expect((await program.api('GET', `/api/v1/batches/${batchId}`)).body.goal).toBe('smallest')
  })

  it('corrects what was written down, and takes a lot for a known one but for case and spaces', async () => {
    const form = page.locator('bw-correct-batch').first()
    await form.getByText('Correct what was written down').click()
    await form.getByLabel('Cysts, grams').fill('0')
    await form.getByRole('button', { name: 'Keep the correction' }).click()
    await form.getByText('Write the grams of cysts as a number above 0.').waitFor()
    await form.getByLabel('Cysts, grams').fill('1.9')
    expect(await form.getByText('Write the grams of cysts').isVisible()).toBe(false)
    await form.getByLabel('Lot of cysts').fill('SPRING')
    await form.getByText('Taken as spring').waitFor()
    await form.getByRole('button', { name: 'Keep the correction' }).click()
    await form.getByText('Corrected.').waitFor()
    const { body } = await program.api('GET', `/api/v1/batches/${batchId}`)
    expect(body).toMatchObject({ cystsG: 1.9, lot: 'spring', litres: 1 })
    expect(Date.parse(body.startedAt), 'a time left alone keeps its seconds').toBe(startedMs)
    await form.getByRole('button', { name: 'It was started by mistake' }).click()
    await form.getByRole('button', { name: 'No, keep it' }).click()
    await form.getByText('Correct what was written down').click()
  })

  it('draws what is expected ahead of now, and the hatch with its band', async () => {
    const greenish = (red: number, green: number, blue: number) => green - red > 12 && green > blue
    const salmon = (red: number, green: number) => red - green > 25
    const water = page.locator('bw-curves .plot[data-curve=water] canvas')
    await expect.poll(() => most(water, greenish, 0.72, 0.9)).toBeGreaterThan(8)
    expect(await most(water, greenish, 0.3, 0.6), 'nothing was expected of what was measured').toBeLessThan(4)
    const hatch = page.locator('bw-hatch-curve canvas')
    // A line by itself would be a handful of pixels high.
    await expect.poll(() => most(hatch, salmon, 0.3, 0.95)).toBeGreaterThan(30)
  })

  const looks = (['dark', 'light'] as const).flatMap(scheme =>
    ([PHONE, DESK] as const).map(size => ({ scheme, size, name: `${scheme}, ${size.viewport.width} px` })),
  )
  it.each(looks)('finds nothing wrong by axe: $name', async ({ scheme, size }) => {
    // As tall as the page, so that nothing lies under the bar at the foot.
    const viewport = { width: size.viewport.width, height: 9000 }
    const look = { ...size, viewport, colorScheme: scheme, reducedMotion: 'reduce' } as const
    const { page: looked } = await openPage(browser, look)
    await looked.goto(`${program.http}/vessel/${vesselId}`)
    await looked.locator('bw-why summary').click()
    await looked.getByRole('button', { name: 'Count a sample' }).first().click()
    await looked.getByRole('button', { name: 'Count umbrellas and unhatched too' }).click()
    await looked.locator('bw-hatch-curve canvas').waitFor()
    expect(await violations(looked), 'vessel').toEqual([])
    await looked.goto(`${program.http}/lots`)
    await looked.getByRole('article').first().waitFor()
    expect(await violations(looked), 'lots').toEqual([])
    await looked.context().close()
  })

  it('takes a harvest that is counted after the batch has ended', async () => {
    await page.getByRole('button', { name: /end the batch/ }).click()
    await button('Harvested').click()
    await page.getByRole('heading', { name: /^The batch that ended/ }).waitFor()
    await button('Count a sample').click()
    await page.getByRole('textbox', { name: 'Nauplii' }).fill('150')
    await page.getByLabel('Counted at the harvest').check()
    await button('Save the count').click()
    await log()
      .getByText(/Counted one sample at the harvest: 150 nauplii/)
      .first()
      .waitFor()
    // 150 in 0.5 mL of one litre. What it says of the vessel stays beside it, and with the batch.
    await log()
      .getByText(/300,000 nauplii \(\d/)
      .first()
      .waitFor()
    await page
      .locator('bw-past-batches')
      .getByText(/^Harvest: 300,000 nauplii/)
      .waitFor()
    expect((await events()).at(-1)).toMatchObject({ kind: 'count', harvest: true })
  })

  it('keeps the lot, with what is known of it', async () => {
    await page.goto(`${program.http}/lots`)
    const { body } = await program.api('GET', '/api/v1/lots')
    const lot = page.getByRole('article').filter({ hasText: 'spring' })
    await lot.getByText(body.lots[0].words).waitFor()
    expect(await lot.locator('svg .belief').count()).toBe(2)
  })

  it('made no complaint on the way but for what was refused', () => {
    expect(complaints.filter(text => !/status of 4\d\d/.test(text))).toEqual([])
  })
})

/** The greatest number of pixels of a colour in any one column, between two shares of the picture's width. */
async function most(
  canvas: Locator,
  is: (red: number, green: number, blue: number) => boolean,
  from: number,
  to: number,
): Promise<number> {
  const columns = await canvas.evaluate(
    (node: any, [low, high]) => {
      const { width, height } = node
      const x = Math.floor(width * low)
      const wide = Math.max(1, Math.floor(width * high) - x)
      // A copy, because a canvas that is read becomes another kind of canvas.
      const copy = document.createElement('canvas')
      copy.width = wide
      copy.height = height
      const context = copy.getContext('2d', { willReadFrequently: true })!
      context.drawImage(node, -x, 0)
      const { data } = context.getImageData(0, 0, wide, height)
      return Array.from({ length: wide }, (_, column) =>
        Array.from({ length: height }, (_, row) => {
          const at = (row * wide + column) * 4
          return [data[at], data[at + 1], data[at + 2], data[at + 3]]
        }),
      )
    },
    [from, to] as const,
  )
  return Math.max(
    ...columns.map(
      (column: (number | undefined)[][]) =>
        column.filter(([red = 0, green = 0, blue = 0, alpha = 0]) => alpha > 20 && is(red, green, blue))
          .length,
    ),
  )
}

async function violations(page: Page): Promise<string[]> {
  // The policy that the page is served with forbids scripts from elsewhere; this one comes from the debugger.
  await page.evaluate(axe)
  const found = await page.evaluate(() =>
    (window as any).axe.run({
      runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
    }),
  )
  return found.violations.map(
    (violation: any) =>
      `${violation.id}: ${violation.nodes.map((node: any) => node.target.join(' ')).join('; ')}`,
  )
}
