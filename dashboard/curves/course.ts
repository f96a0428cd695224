import type { ReactiveController, ReactiveControllerHost } from 'lit'
import type { Course } from '../../broker/web/api/events.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { request } from '../state/api.ts'

/** A forecast that is told more often than this is not asked for its course each time, ms. */
const PATIENCE_MS = 15_000
const POINTS = 240
/** How far ahead is asked for where no hatch is in sight, ms. */
const UNSEEN_AHEAD_MS = 12 * 3_600_000

/** How the open batch of a vessel goes and will go: asked for anew when its forecast has moved on. */
export class CourseAhead implements ReactiveController {
  /** `null` until it is known, and without a batch. */
  course: Course | null = null
  readonly #host: ReactiveControllerHost
  readonly #onNew: () => void
  #batchId: string | null = null
  #of = ''
  /** Where no hatch is in sight, the broker would look ahead for days, in steps too long to show anything. */
  #until: { to?: string } = {}
  #askedAt = -Infinity
  #timer: ReturnType<typeof setTimeout> | undefined
  #abort: AbortController | undefined

  constructor(host: ReactiveControllerHost, onNew: () => void) {
    this.#host = host
    this.#onNew = onNew
    host.addController(this)
  }
  hostConnected(): void {
    this.#of = ''
  }
  hostDisconnected(): void {
    clearTimeout(this.#timer)
    this.#abort?.abort()
  }

  follow(vessel: Vessel | null): void {
    const { batch = null, forecast = null } = vessel ?? {}
    if (batch?.id !== this.#batchId) {
      this.#batchId = batch?.id ?? null
      this.course = null
      this.#askedAt = -Infinity
    }
    const of = batch && forecast ? `${batch.id}/${forecast.goal}/${forecast.at}` : ''
    if (of === this.#of) return
    this.#until =
      forecast && !forecast.reachesHatch
        ? { to: new Date(Date.parse(forecast.at) + UNSEEN_AHEAD_MS).toISOString() }
        : {}
    // Another goal was chosen by a person who waits to see what it does.
    const chosen = of.split('/')[1] !== this.#of.split('/')[1]
    this.#of = of
    clearTimeout(this.#timer)
    if (of === '') return
    const waitMs = chosen ? 0 : Math.max(0, this.#askedAt + PATIENCE_MS - performance.now())
    this.#timer = setTimeout(() => void this.#ask(), waitMs)
  }

  async #ask(): Promise<void> {
    this.#askedAt = performance.now()
    this.#abort?.abort()
    const abort = new AbortController()
    this.#abort = abort
    const query = new URLSearchParams({ points: String(POINTS), ...this.#until })
    const path = `/batches/${encodeURIComponent(this.#batchId ?? '')}/course?${query}`
    try {
      this.course = await request<Course>('GET', path, undefined, abort.signal)
    } catch {
      // The forecast's own figures stand in for it, and the next forecast asks again.
      return
    }
    this.#onNew()
    this.#host.requestUpdate()
  }
}
