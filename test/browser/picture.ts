import { spawn } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import type { Page } from 'playwright-core'
import { until } from '../system/program.ts'
import { DESK, launch, openPage, PHONE } from './chromium.ts'

/** Makes the README's pictures from the demo: the room at a desk, by day, and one vessel on a phone, by night. */
const demo = spawn(
  process.execPath,
  [
    fileURLToPath(new URL('../../dist/sim/demo.js', import.meta.url)),
    ...['--http', '127.0.0.1:0', '--mqtt', '127.0.0.1:0', '--speed', '30'],
  ],
  { stdio: ['ignore', 'pipe', 'inherit'] },
)
let out = ''
demo.stdout.on('data', (bytes: Buffer) => (out += bytes.toString()))
const browser = await launch()
try {
  await until(
    async () => out,
    text => text.includes('Ctrl-C'),
    120_000,
  )
  const http = /Open (http:\S+)/.exec(out)?.[1]
  if (!http) throw new Error(`Cannot take the picture: the demo did not start: ${out}`)
  console.log('waiting for the vessel that goes wrong, about two minutes')

  const desk = await openPage(browser, {
    ...DESK,
    viewport: { width: 1280, height: 1180 },
    colorScheme: 'light',
  })
  await desk.page.goto(http)
  await desk.page.getByRole('button', { name: /^Acknowledge: / }).waitFor({ timeout: 300_000 })
  await desk.page.getByRole('button', { name: 'Put off' }).click()
  await take(desk.page, 'picture.png')

  const phone = await openPage(browser, {
    ...PHONE,
    viewport: { width: 390, height: 844 },
    colorScheme: 'dark',
  })
  await phone.page.goto(http)
  await phone.page
    .getByRole('link', { name: /Cone 3/ })
    .first()
    .click()
  await phone.page.locator('canvas').first().waitFor()
  await take(phone.page, 'picture-phone.png')
} finally {
  await browser.close()
  demo.kill('SIGINT')
}

async function take(page: Page, name: string): Promise<void> {
  // Bubbles and sensors need a moment to look alive.
  await page.waitForTimeout(2500)
  await page.screenshot({ path: fileURLToPath(new URL(name, import.meta.url)) })
  console.log(`made test/browser/${name}`)
}
