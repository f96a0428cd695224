import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { freshDir, mosquittoPub, removeDir, startProgram, type Program } from '../system/program.ts'
import { DESK, launch, openPage, PHONE } from './chromium.ts'

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')

/** WCAG 2.2 A and AA, as far as axe-core can tell, on every view with everything on it. */
describe('accessibility', () => {
  const dir = freshDir()
  let program: Program
  let browser: Browser
  let vesselId: string

  beforeAll(async () => {
    program = await startProgram(dir)
    const device = program.addDevice('bench-1')
    mosquittoPub(program, program.addDevice('spare-1'), '[{"n":"water","u":"Cel","v":22}]')
    vesselId = (await program.api('POST', '/api/v1/vessels', { name: 'Cone 1', litres: 1 })).body.id
    await program.api('POST', '/api/v1/vessels', { name: 'Cone 2', litres: 2 })
    await program.api('PUT', `/api/v1/vessels/${vesselId}/channels`, {
      water: 'bench-1/water',
      air: 'bench-1/air',
      light: 'bench-1/light',
    })
    await program.api('POST', '/api/v1/batches', { vesselId, litres: 1, cystsG: 2, salinityGpl: 25 })
    mosquittoPub(
      program,
      device,
      '[{"n":"water","u":"Cel","v":30},{"n":"air","u":"l/min","v":0.5},{"n":"light","u":"lx","v":2000}]',
    )
    mosquittoPub(program, device, 'not senml')
    browser = await launch()
  })
  afterAll(async () => {
    await browser.close()
    await program.stop()
    removeDir(dir)
  })

  const views = ['/', '/recipe', '/devices', '/settings', '/vessel/:id'] as const
  const looks = (['dark', 'light'] as const).flatMap(scheme =>
    ([PHONE, DESK] as const).map(size => ({ scheme, size, name: `${scheme}, ${size.viewport.width} px` })),
  )

  it.each(looks)('finds nothing wrong: $name', async ({ scheme, size }) => {
    // As tall as the page: where it scrolls, what lies under the bar at the foot would count as covered.
    const viewport = { width: size.viewport.width, height: 12_000 }
    const { page } = await openPage(browser, {
      ...size,
      viewport,
      colorScheme: scheme,
      reducedMotion: 'reduce',
    })
    for (const view of views) {
      await page.goto(program.http + view.replace(':id', vesselId))
      await page.getByRole('button', { name: /^Acknowledge: / }).waitFor()
      // A view is fetched when it is first opened; its heading comes with it.
      await page.getByRole('heading', { level: 1 }).waitFor()
      // The policy that the page is served with forbids scripts from elsewhere; this one comes from the debugger.
      await page.evaluate(axe)
      const found = await page.evaluate(() =>
        (window as any).axe.run({
          runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
        }),
      )
      const wrong = found.violations.map(
        (violation: any) =>
          `${violation.id}: ${violation.nodes.map((node: any) => node.target.join(' ')).join('; ')}`,
      )
      expect(wrong, view).toEqual([])
    }
    await page.context().close()
  })

  it('reaches the alarm, the views and a vessel by keyboard alone', async () => {
    const { page } = await openPage(browser, DESK)
    await page.goto(program.http)
    await page.getByRole('button', { name: /^Acknowledge: / }).waitFor()
    const reached = new Set<string>()
    for (let i = 0; i < 40; i++) {
      await page.keyboard.press('Tab')
      reached.add(
        await page.evaluate(() => {
          let active = document.activeElement
          while (active?.shadowRoot?.activeElement) active = active.shadowRoot.activeElement
          return (active?.getAttribute('aria-label') ?? active?.textContent ?? '').trim().replace(/\s+/g, ' ')
        }),
      )
    }
    const labels = [...reached]
    for (const wanted of [/^Acknowledge: /, /^Devices/, /^Settings/, /Cone 1/]) {
      expect(
        labels.some(label => wanted.test(label)),
        String(wanted),
      ).toBe(true)
    }
  })
})
