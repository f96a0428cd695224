import type { Page } from 'playwright-core'
import { lampRunaway } from '../../sim/scenarios/lamp-runaway.ts'
import { BATCH, keepPastBatch } from '../browser/rig/past-batch.ts'
import { freshDir, removeDir, startProgram } from '../system/program.ts'
import { middle } from './numbers.ts'
import { openBrowser, openPage } from './rig/browser.ts'
import { watchFrames } from './rig/frames.ts'
import type { Figure, Settings, Subject } from './subject.ts'

const SCRUB_MS = 4000

/** A dead batch of a reading a second, looked at again: how soon it is there, and how smoothly it is scrubbed. */
export const replay: Subject = {
  name: 'replay',
  async measure(settings) {
    const dir = freshDir()
    const hours = settings.quick ? 6 : 36
    settings.say(`  simulating ${hours} h and keeping them`)
    await keepPastBatch(dir, lampRunaway, hours)
    const program = await startProgram(dir)
    const browser = await openBrowser()
    try {
      const first: number[] = []
      const again: number[] = []
      let figures: Figure[] = []
      for (let repeat = 0; repeat < settings.repeats + 1; repeat++) {
        const page = await openPage(browser)
        await page.goto(program.http)
        await page
          .getByRole('link', { name: /Left cone/ })
          .first()
          .waitFor()
        first.push(await opened(page))
        again.push(await opened(page))
        if (repeat === settings.repeats) figures = await scrubbed(page, settings)
        await page.context().close()
      }
      // The first one warms the program and the browser.
      first.shift()
      again.shift()
      const bar = { below: 300 }
      const name = `a batch of ${hours} h at 1/s and 4 sensors is open`
      return [
        {
          name,
          ...middle(first),
          unit: 'ms',
          bar,
          note: 'from the tap to cone and curves drawn, its page not fetched before',
        },
        { name: '  the same, its page fetched before', ...middle(again), unit: 'ms', bar },
        ...figures,
      ]
    } finally {
      await browser.close()
      await program.stop()
      removeDir(dir)
    }
  },
}

/** From asking for the batch within the page to the frame after all of it was drawn, ms. */
async function opened(page: Page): Promise<number> {
  await page.evaluate(go, '/')
  await page
    .getByRole('link', { name: /Left cone/ })
    .first()
    .waitFor()
  const tookMs = await page.evaluate(go, `/batch?of=${BATCH}`)
  // What went wrong is found out meanwhile; it must not be under way when the next one is measured.
  await page.locator('bw-causes .big').waitFor()
  return tookMs
}

/** Runs in the page. Resolves at once for the room. */
function go(path: string): Promise<number> {
  const from = performance.now()
  history.pushState(null, '', path)
  dispatchEvent(new PopStateEvent('popstate'))
  if (path === '/') return Promise.resolve(0)
  return new Promise(resolve => {
    const look = () => {
      const replay = document.querySelector('bw-app')?.shadowRoot?.querySelector('bw-replay-page')?.shadowRoot
      const plots =
        replay?.querySelector('bw-replay-curves')?.shadowRoot?.querySelectorAll('canvas').length ?? 0
      const cone = replay?.querySelector('bw-then')?.shadowRoot?.querySelector('bw-cone')?.shadowRoot
      if (plots >= 5 && cone?.querySelector('svg'))
        requestAnimationFrame(() => resolve(performance.now() - from))
      else requestAnimationFrame(look)
    }
    look()
  })
}

/** Frames while the handle is moved at every one of them, and how long the page works for each. */
async function scrubbed(page: Page, { quick }: Settings): Promise<Figure[]> {
  const forMs = quick ? 1000 : SCRUB_MS
  const still = await watchFrames(page, forMs)
  const [moved, workMs] = await Promise.all([watchFrames(page, forMs), page.evaluate(scrub, forMs)])
  const rate = (count: number) => (count / forMs) * 1000
  return [
    {
      name: 'frames a second while it is scrubbed',
      value: rate(moved.count),
      unit: '1/s',
      bar: { atLeast: 58 },
      note: `p99 ${moved.p99Ms.toFixed(1)} ms, longest ${moved.longestMs.toFixed(1)}; left alone ${rate(still.count).toFixed(1)} 1/s`,
    },
    {
      name: '  work of a step, script and rendering to elements',
      ...middle(workMs),
      unit: 'ms',
      bar: { below: 16 },
    },
  ]
}

/** Runs in the page: a step of the handle in each frame, from one end to the other. */
function scrub(forMs: number): Promise<number[]> {
  const page = document.querySelector('bw-app')?.shadowRoot?.querySelector('bw-replay-page')
  const handle = page?.shadowRoot?.querySelector('bw-time-handle')
  const track = handle?.shadowRoot?.querySelector<HTMLElement>('[role=slider]')
  if (!track) throw new Error('Cannot scrub: there is no handle')
  track.dispatchEvent(new KeyboardEvent('keydown', { key: 'Home' }))
  const work: number[] = []
  const channel = new MessageChannel()
  return new Promise(resolve => {
    const endAt = performance.now() + forMs
    let beganAt = 0
    // It comes after the frame's own callbacks and the microtasks in which elements are drawn.
    channel.port1.onmessage = () => work.push(performance.now() - beganAt)
    const step = (now: number) => {
      if (now >= endAt) return resolve(work)
      requestAnimationFrame(step)
      beganAt = performance.now()
      track.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowRight', shiftKey: true }))
      channel.port2.postMessage(null)
    }
    requestAnimationFrame(step)
  })
}
