import type { Browser, BrowserContext, CDPSession, Page, Worker } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach } from 'vitest'
import { launch, PHONE } from '../chromium.ts'

/** A phone's browser, with a fresh profile for each test, that remembers what went wrong on its page. */
export interface PhoneBrowser {
  context: BrowserContext
  page: Page
  complaints: string[]
  /** Opens the page and waits until its worker has taken over. */
  open(url: string): Promise<Worker>
}

export function usePhone(): PhoneBrowser {
  let browser: Browser
  const phone = {
    async open(url) {
      const born = phone.context.serviceWorkers()[0] ?? phone.context.waitForEvent('serviceworker')
      await phone.page.goto(url)
      await phone.page.waitForFunction(() => navigator.serviceWorker.controller?.state === 'activated')
      return born
    },
  } as PhoneBrowser
  beforeAll(async () => {
    browser = await launch()
  })
  afterAll(() => browser.close())
  beforeEach(async () => {
    const context = await browser.newContext({ ...PHONE, locale: 'en-GB' })
    const page = await context.newPage()
    const complaints: string[] = []
    page.on('pageerror', error => complaints.push(error.message))
    page.on('console', message => {
      if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text())
    })
    Object.assign(phone, { context, page, complaints })
  })
  afterEach(() => phone.context.close())
  return phone
}

/** The id of the worker's registration, as soon as the browser tells that it is stored, and its worker active and running. */
export async function runningRegistration(session: CDPSession, scopeUrl: string): Promise<string> {
  const ids = new Set<string>()
  const running = new Set<string>()
  const found = new Promise<string>(resolve => {
    const look = (): void => {
      const id = [...ids].find(each => running.has(each))
      if (id !== undefined) resolve(id)
    }
    session.on('ServiceWorker.workerRegistrationUpdated', ({ registrations }) => {
      for (const { registrationId, scopeURL, isDeleted } of registrations)
        if (scopeURL === scopeUrl && !isDeleted) ids.add(registrationId)
      look()
    })
    session.on('ServiceWorker.workerVersionUpdated', ({ versions }) => {
      for (const { registrationId, status, runningStatus } of versions)
        if (status === 'activated' && runningStatus === 'running') running.add(registrationId)
        else running.delete(registrationId)
      look()
    })
  })
  await session.send('ServiceWorker.enable')
  return found
}
