import type { ReactiveController, ReactiveControllerHost } from 'lit'
import type { Readings } from '../../broker/web/api/vessels.ts'
import { ApiError, request } from '../state/api.ts'
import { store, type Frame } from '../state/store.ts'
import { append, type CurveColumns, emptyColumns, growing, trim } from './columns.ts'
import { type Curve, MEASURED } from './measured.ts'
import type { TimeWindow } from './window.ts'

export type { Curve }

const CHANNEL: Record<'waterC' | 'upperWaterC' | 'roomC' | 'airLpm' | 'lightLx' | 'levelShare', Curve> = {
  waterC: 'water',
  upperWaterC: 'upper-water',
  roomC: 'room',
  airLpm: 'air',
  lightLx: 'light',
  levelShare: 'level',
}

/** Where the reading of history stands. A closed set. */
export type HistoryState = 'loading' | 'shown' | 'failed'

/** A finger that still moves asks for nothing; so long after it rests, the finer curve is fetched. */
const SETTLE_MS = 220

/** One vessel's curves over a window: fetched once, carried on by the live feed, fetched again after a backlog. */
export class History implements ReactiveController {
  readonly columns: Record<Curve, CurveColumns> = {
    water: emptyColumns(),
    'upper-water': emptyColumns(),
    room: emptyColumns(),
    air: emptyColumns(),
    light: emptyColumns(),
    level: emptyColumns(),
  }
  state: HistoryState = 'loading'
  problem = ''
  bucketMs = 1000
  /** The newest frame changed a curve: set here, taken by the host when it draws. */
  changed = false
  readonly #host: ReactiveControllerHost
  readonly #onFrame: () => void
  #vesselId = ''
  #window: TimeWindow = { fromMs: 0, toMs: 0 }
  #points = 600
  #stop: (() => void) | undefined
  #timer: ReturnType<typeof setTimeout> | undefined
  #abort: AbortController | undefined
  /** Readings that come in while a fetch is under way are not in its answer for sure, so they are added after it. */
  #meanwhile: { curve: Curve; atMs: number; value: number }[] = []

  constructor(host: ReactiveControllerHost, onFrame: () => void) {
    this.#host = host
    this.#onFrame = onFrame
    host.addController(this)
  }

  hostConnected(): void {
    this.#stop = store.subscribe(frame => this.#take(frame))
    if (this.#vesselId !== '') this.#soon(0)
  }
  hostDisconnected(): void {
    this.#stop?.()
    clearTimeout(this.#timer)
    this.#abort?.abort()
  }

  /** Shows another window or vessel; `atOnce` for a choice, otherwise as soon as the finger rests. */
  show(vesselId: string, window: TimeWindow, points: number, atOnce: boolean): void {
    if (vesselId !== this.#vesselId) for (const curve of MEASURED) this.columns[curve] = emptyColumns()
    this.#vesselId = vesselId
    this.#window = window
    this.#points = points
    this.#soon(atOnce ? 0 : SETTLE_MS)
  }

  /** The window moved on with the clock: nothing to fetch, but what left it is forgotten. */
  follow(window: TimeWindow): void {
    this.#window = window
    for (const curve of MEASURED) trim(this.columns[curve], window.fromMs)
  }

  #soon(delayMs: number): void {
    clearTimeout(this.#timer)
    this.#timer = setTimeout(() => void this.#fetch(), delayMs)
  }

  async #fetch(): Promise<void> {
    this.#abort?.abort()
    const abort = new AbortController()
    this.#abort = abort
    this.#meanwhile = []
    const { fromMs } = this.#window
    const toMs = Math.max(fromMs + 1000, Math.min(this.#window.toMs, store.clock.nowMs() + 1000))
    const query = new URLSearchParams({
      from: new Date(Math.max(0, fromMs)).toISOString(),
      to: new Date(toMs).toISOString(),
      points: String(this.#points),
    })
    try {
      const path = `/vessels/${encodeURIComponent(this.#vesselId)}/readings?${query}`
      const readings = await request<Readings>('GET', path, undefined, abort.signal)
      this.bucketMs = Math.max(1000, (toMs - fromMs) / this.#points)
      for (const curve of MEASURED) {
        const columns = readings.channels[curve]
        this.columns[curve] = columns ? growing(columns) : emptyColumns()
      }
      for (const { curve, atMs, value } of this.#meanwhile)
        append(this.columns[curve], atMs, value, this.bucketMs)
      this.state = 'shown'
    } catch (error) {
      if (abort.signal.aborted) return
      this.state = 'failed'
      this.problem = error instanceof ApiError ? error.message : 'The curves could not be read.'
    }
    this.#meanwhile = []
    this.#abort = undefined
    this.changed = true
    this.#host.requestUpdate()
    this.#onFrame()
  }

  #take(frame: Frame): void {
    if (frame.fresh) return this.#soon(0)
    let changed = false
    for (const change of frame.readings) {
      if (change.vesselId !== this.#vesselId) continue
      if (change.kind === 'backfilled') {
        this.#soon(SETTLE_MS)
        continue
      }
      const { latest, late, channel } = change
      if (late || latest.quality !== 'good' || latest.value === null) continue
      const reading = { curve: CHANNEL[channel], atMs: Date.parse(latest.at), value: latest.value }
      if (reading.atMs > this.#window.toMs) continue
      append(this.columns[reading.curve], reading.atMs, reading.value, this.bucketMs)
      if (this.#abort) this.#meanwhile.push(reading)
      changed = true
    }
    if (!changed) return
    this.changed = true
    this.#onFrame()
  }
}
