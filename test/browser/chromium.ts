import { existsSync } from 'node:fs'
import { chromium, type Browser, type BrowserContextOptions, type Page } from 'playwright-core'

/** Debian's Chromium, without its talk to the outside. */
export async function launch(): Promise<Browser> {
  const executablePath = ['/usr/bin/chromium', '/usr/bin/chromium-browser'].find(path => existsSync(path))
  if (!executablePath)
    throw new Error('Cannot test in a browser: Chromium is missing. On Debian: apt-get install chromium')
  return chromium.launch({
    executablePath,
    args: [
      '--no-sandbox',
      '--disable-quic',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      '--no-first-run',
    ],
  })
}

export const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true } as const
export const DESK = { viewport: { width: 1280, height: 800 } } as const

/** A page that remembers what went wrong on it: a script that throws, a message on the console, a request that failed. */
export async function openPage(
  browser: Browser,
  options: BrowserContextOptions,
): Promise<{ page: Page; complaints: string[] }> {
  const context = await browser.newContext({ locale: 'en-GB', timezoneId: 'Europe/Vienna', ...options })
  const page = await context.newPage()
  const complaints: string[] = []
  page.on('pageerror', error => complaints.push(error.message))
  page.on('console', message => {
    if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text())
  })
  return { page, complaints }
}
