import type { Page } from 'playwright-core'
import { percentiles } from '../numbers.ts'

export interface Frames {
  readonly count: number
  readonly p99Ms: number
  readonly longestMs: number
  readonly over50: number
  /** Tasks of 50 ms or more on the page's thread; that is what the browser calls long. */
  readonly longTasks: number
  /** 0 when none was long. */
  readonly longestTaskMs: number
}

const LONG_MS = 50

/** Times every frame of an open page for a while. */
export async function watchFrames(page: Page, forMs: number): Promise<Frames> {
  const { frames, tasks } = await page.evaluate(time, forMs)
  const { count, p99, max } = percentiles(frames)
  return {
    count,
    p99Ms: p99,
    longestMs: max,
    over50: frames.filter(ms => ms > LONG_MS).length,
    longTasks: tasks.length,
    longestTaskMs: Math.max(0, ...tasks),
  }
}

/** Runs in the page. */
function time(forMs: number): Promise<{ frames: number[]; tasks: number[] }> {
  return new Promise(resolve => {
    const frames: number[] = []
    const tasks: number[] = []
    const observer = new PerformanceObserver(list => {
      for (const entry of list.getEntries()) tasks.push(entry.duration)
    })
    observer.observe({ type: 'longtask' })
    let before = 0
    let endAt = 0
    const next = (now: number) => {
      if (before === 0) endAt = now + forMs
      else frames.push(now - before)
      before = now
      if (now < endAt) requestAnimationFrame(next)
      else {
        observer.disconnect()
        resolve({ frames, tasks })
      }
    }
    requestAnimationFrame(next)
  })
}
