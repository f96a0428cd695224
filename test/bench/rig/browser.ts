import { existsSync } from 'node:fs'
import { chromium, type Browser, type Page } from 'playwright-core'

const CHROMIUM = '/usr/bin/chromium'
/** It looks nothing up and updates nothing: the only host it talks to is this one. */
const FLAGS = [
  '--no-sandbox',
  '--disable-quic',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--no-first-run',
]

export async function openBrowser(): Promise<Browser> {
  if (!existsSync(CHROMIUM)) {
    throw new Error(
      `Cannot measure the page: Debian's chromium must be installed, got nothing at ${CHROMIUM}`,
    )
  }
  return chromium.launch({ executablePath: CHROMIUM, args: FLAGS })
}

/** Milliseconds from navigation. */
export interface Shown {
  readonly paintMs: number
  readonly coneMs: number
}

/** Prepares a page so that, once it is opened, the returned function tells when something and when a cone was on screen. */
export async function watchForCone(page: Page): Promise<() => Promise<Shown>> {
  await page.addInitScript({ content: `window.whenShown = (${lookForCone.toString()})()` })
  return () => page.evaluate<Shown>('window.whenShown')
}

/** A page in a context of its own, with nothing in its cache. */
export async function openPage(browser: Browser): Promise<Page> {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } })
  const page = await context.newPage()
  // The loader that runs this file wraps each function in a call that keeps its name; what is sent to a page needs it there.
  await page.addInitScript({ content: 'globalThis.__name = target => target' })
  return page
}

/** Runs in the page. */
function lookForCone(): Promise<Shown> {
  const find = (root: ParentNode): Element | undefined => {
    for (const element of root.querySelectorAll('*')) {
      if (element.localName === 'bw-cone') return element
      const below = element.shadowRoot && find(element.shadowRoot)
      if (below) return below
    }
    return undefined
  }
  return new Promise(resolve => {
    const look = () => {
      const drawn = find(document)?.shadowRoot?.querySelector('svg')
      const [paint] = performance.getEntriesByName('first-contentful-paint')
      if (drawn && drawn.getBoundingClientRect().height > 0 && paint) {
        // The frame after the one that found it: now it has been drawn.
        requestAnimationFrame(() => resolve({ paintMs: paint.startTime, coneMs: performance.now() }))
      } else requestAnimationFrame(look)
    }
    requestAnimationFrame(look)
  })
}
