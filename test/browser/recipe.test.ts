import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { freshDir, removeDir, startProgram, type Program } from '../system/program.ts'
import { DESK, launch, openPage, PHONE } from './chromium.ts'

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')

/** A control's own size, or its label's where the label is what is tapped, in CSS pixels. */
const tooSmall = (page: Page) =>
  page.locator('bw-recipe').evaluate(host => {
    const all = (root: ParentNode): HTMLElement[] =>
      [...root.querySelectorAll<HTMLElement>('*')].flatMap(each => [
        each,
        ...(each.shadowRoot ? all(each.shadowRoot) : []),
      ])
    return all(host.shadowRoot!)
      .filter(each => each.matches('button, input, select, summary, a'))
      .map(each => each.closest('.choice') ?? each)
      .map(each => ({
        name: each.textContent?.trim() || each.getAttribute('name'),
        box: each.getBoundingClientRect(),
      }))
      .filter(({ box }) => box.width > 0 && (box.height < 44 || box.width < 44))
      .map(({ name, box }) => `${name} ${box.width.toFixed(0)}×${box.height.toFixed(0)}`)
  })

describe.each([
  ['a phone', PHONE, 'dark'],
  ['a desk', DESK, 'light'],
] as const)('the recipe at %s', (_, size, colorScheme) => {
  const dir = freshDir()
  let program: Program
  let browser: Browser
  let page: Page
  let complaints: string[]
  let vesselId: string

  /** One ingredient as it reads: its spoons and its grams. */
  const row = (name: string) =>
    page.locator('.goes li').filter({ has: page.getByRole('heading', { name, exact: true }) })
  const says = async (name: string, grams: string, spoons?: string) => {
    await expect.poll(() => row(name).locator('.grams').innerText()).toBe(`${grams}g`)
    // Numbers and units are kept together by spaces that do not break.
    if (spoons) expect((await row(name).locator('.as').innerText()).replaceAll('\u00a0', ' ')).toBe(spoons)
  }
  const fill = (label: string, text: string) => page.getByLabel(label, { exact: true }).fill(text)

  beforeAll(async () => {
    program = await startProgram(dir)
    vesselId = (await program.api('POST', '/api/v1/vessels', { name: 'Cone 1', litres: 2 })).body.id
    browser = await launch()
    ;({ page, complaints } = await openPage(browser, { ...size, colorScheme, reducedMotion: 'reduce' }))
  })
  afterAll(async () => {
    await browser.close()
    await program.stop()
    removeDir(dir)
  })

  it('is one tap from the room, and is fetched only then', async () => {
    const scripts: string[] = []
    page.on('request', request => void (request.resourceType() === 'script' && scripts.push(request.url())))
    await page.goto(program.http)
    await page.getByRole('link', { name: 'Recipe' }).waitFor()
    expect(scripts.filter(url => url.includes('/recipe'))).toEqual([])
    await page.getByRole('link', { name: 'Recipe' }).click()
    await page.getByRole('heading', { name: 'What goes in', exact: true }).waitFor()
    // The page, and the model that it shares with the walked set-up.
    expect(scripts.filter(url => url.includes('/recipe')).length).toBeGreaterThanOrEqual(1)
  })

  it('shows what goes into a litre, in grams and in spoons', async () => {
    // 25 g/L of salt; 16.5 (15-18) g a tablespoon and half a teaspoon of cysts a litre are common practice, no source.
    await says('Salt', '25', '1½ tablespoons (23–27 g)')
    await says('Baking soda', '1', '¼ teaspoon (1–1.5 g)')
    await says('Dry cysts', '1.5', '½ teaspoon (1.3–1.8 g)')
    expect(await row('Salt').locator('svg').count(), 'a whole and a half tablespoon').toBe(2)
  })

  it('follows what is tapped and typed', async () => {
    await page.getByRole('button', { name: 'More brine' }).click()
    await page.getByRole('button', { name: 'More salt' }).click()
    await page.getByRole('button', { name: 'Fewer cysts' }).click()
    // 1.5 L × 26 g/L, 1.5 L × 1 g/L.
    await says('Salt', '39')
    await says('Dry cysts', '1.5')
    await fill('Brine, litres', '2')
    await fill('Salt, grams per litre', '30')
    await says('Salt', '60')
    await page.getByText('2 L: salt 60 g').waitFor({ state: 'attached' })
  })

  it('warns in words, and says what is known of the harm', async () => {
    await fill('Cysts, grams per litre', '6')
    // At most 5 g/L below 20 L: freshwater-prawn farming handbook after Lavens & Sorgeloos 1996, FAO 361.
    await page.getByText(/6.g\/L is too many cysts.*at most 5.g\/L, 10.g here/).waitFor()
    const harm = page.locator('.effects .applies').filter({ hasText: 'More cysts than' })
    expect(await harm.innerText()).toMatch(/fewer hatch[^]*No source gives a figure/)
    await fill('Cysts, grams per litre', '0')
    await page.getByText('Write a number more than 0 and at most 50.').waitFor()
    expect(await page.locator('.goes').count(), 'no amounts of a wish that cannot be').toBe(0)
    await fill('Cysts, grams per litre', '2')
    await says('Dry cysts', '4')
    expect(await page.locator('.warn').count()).toBe(0)
  })

  it('keeps the person’s own spoons, and leaves out the doubt', async () => {
    await page.getByText('Your spoons, salt and buffer').click()
    await fill('Tablespoon of salt, g', '15')
    await page.getByLabel('Magnesium sulphate').check()
    await page.locator('.warn').getByText('Magnesium sulphate is no buffer').waitFor()
    expect(await row('Baking soda').count()).toBe(0)
    // What was wished for before is let go; the spoons are the person's and stay.
    await page.evaluate(
      prefix =>
        Object.keys(localStorage).forEach(key => key.startsWith(prefix) && localStorage.removeItem(key)),
      'brinewatch.draft.',
    )
    await page.reload()
    await fill('Salt, grams per litre', '30')
    await says('Salt', '30', '2 tablespoons (30 g)')
    await says('Baking soda', '1')
  })

  it('reads a hydrometer by what stands on its scale', async () => {
    await fill('It reads', '1.025')
    await fill('The water, °C', '25')
    const said = page.locator('bw-hydrometer .said-of-it')
    // 33.2 to 36.9 g/kg by its scale: computed independently from EOS-80 for the project's notes; × 1.022 to 1.025 kg/L.
    await said.getByText(/33\.9 to 37\.9 g\/L/).waitFor()
    await page.getByLabel('What stands on its paper scale?').selectOption({ label: '60/60 °F' })
    await said.getByText('36.4 g/L').waitFor()
    await said.getByText('Too much salt.').waitFor()
    await page.getByRole('button', { name: 'Plain salt' }).click()
    // Some 6.4 % more: sodium chloride at 20 °C, Poradnik fizykochemiczny, WNT Warszawa 1974.
    await said.getByText('38.7 g/L').waitFor()
    await fill('It reads', '25')
    await page.getByText('Write a number from 0.99 to 1.1, like 1.018.').waitFor()
  })

  it('hands over to the start of a batch', async () => {
    await page.getByLabel('For which vessel?').selectOption({ label: 'Cone 1, holds 2 L' })
    await page.getByRole('heading', { name: 'What goes into Cone 1' }).waitFor()
    expect(new URL(page.url()).search).toBe(`?vessel=${vesselId}`)
    expect(await page.getByLabel('Brine, litres').inputValue()).toBe('2')
    await fill('Brine, litres', '3')
    await page.getByText('Cone 1 takes only 2 L.').waitFor()
    await fill('Brine, litres', '1.5')
    await fill('Cysts, grams per litre', '2')
    await fill('Salt, grams per litre', '30')
    await page.getByRole('link', { name: 'Start this batch in Cone 1' }).click()
    const litres = page.getByLabel('Water, litres')
    await litres.waitFor()
    expect(await litres.inputValue()).toBe('1.5')
    expect(await page.getByLabel('Cysts, grams').inputValue()).toBe('3')
    expect(await page.getByLabel('Salt, grams per litre').inputValue()).toBe('30')
    await expect
      .poll(() => litres.evaluate(each => each.getBoundingClientRect().top))
      .toBeLessThan(size.viewport.height)
    await page.getByRole('button', { name: 'Start the batch' }).click()
    await expect
      .poll(async () => (await program.api('GET', '/api/v1/batches?open=true')).body.batches)
      .toMatchObject([{ litres: 1.5, cystsG: 3, salinityGpl: 30 }])
    await expect.poll(() => new URL(page.url()).search).toBe('')
  })

  it('shows an open batch as it was set up', async () => {
    await page.goto(`${program.http}/recipe?vessel=${vesselId}`)
    await says('Dry cysts', '3')
    await says('Salt', '45')
    expect(await page.getByRole('link', { name: /Start this batch/ }).count()).toBe(0)
  })

  it('has nothing that axe-core finds, fits the screen, and gives thumbs room', async () => {
    for (const summary of await page.locator('bw-recipe summary').all()) await summary.click()
    await page.setViewportSize({ width: size.viewport.width, height: 7000 })
    await page.evaluate(axe)
    const found = await page.evaluate(() =>
      (window as any).axe.run({
        runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
      }),
    )
    expect(
      found.violations.map(
        (each: any) => `${each.id}: ${each.nodes.map((node: any) => node.target.join(' ')).join('; ')}`,
      ),
    ).toEqual([])
    expect(await tooSmall(page)).toEqual([])
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(
      0,
    )
    expect(complaints).toEqual([])
  })
})
