import type { ReactiveController, ReactiveControllerHost } from 'lit'
import type { Readings } from '../../broker/web/api/vessels.ts'
import { request } from '../state/api.ts'
import { Link } from '../state/room-state.ts'
import { store } from '../state/store.ts'
import { type Trend, TREND_MS, waterTrend } from '../words/trend.ts'

const ASK_EVERY_MS = 15_000
const POINTS = 40

/**
 * Which way the water of the vessels in alarm goes. Read from what is kept rather than from what comes in, so that a phone
 * that was just picked up knows it too.
 */
export class Trends implements ReactiveController {
  readonly #host: ReactiveControllerHost
  #known: ReadonlyMap<string, Trend | null> = new Map()
  #wanted: readonly string[] = []
  #timer: ReturnType<typeof setInterval> | undefined

  constructor(host: ReactiveControllerHost) {
    this.#host = host
    host.addController(this)
  }
  hostConnected(): void {
    this.#timer = setInterval(() => void this.#ask(this.#wanted), ASK_EVERY_MS)
  }
  hostDisconnected(): void {
    clearInterval(this.#timer)
  }

  /** The vessels to follow from now on; new ones are asked for at once. */
  follow(vesselIds: readonly string[]): void {
    const added = vesselIds.filter(id => !this.#wanted.includes(id))
    this.#wanted = vesselIds
    if (added.length > 0) void this.#ask(added)
  }

  of(vesselId: string): Trend | null {
    return this.#known.get(vesselId) ?? null
  }

  async #ask(vesselIds: readonly string[]): Promise<void> {
    if (vesselIds.length === 0 || document.hidden || store.link !== Link.live) return
    const answers = await Promise.all(vesselIds.map(async id => [id, await trendOf(id)] as const))
    this.#known = new Map([...this.#known, ...answers].filter(([id]) => this.#wanted.includes(id)))
    this.#host.requestUpdate()
  }
}

async function trendOf(vesselId: string): Promise<Trend | null> {
  const nowMs = store.clock.nowMs()
  const query = new URLSearchParams({
    from: new Date(nowMs - TREND_MS).toISOString(),
    to: new Date(nowMs + 1000).toISOString(),
    points: String(POINTS),
  })
  try {
    const path = `/vessels/${encodeURIComponent(vesselId)}/readings?${query}`
    const { channels } = await request<Readings>('GET', path)
    return channels.water ? waterTrend(channels.water, nowMs) : null
  } catch {
    return null
  }
}
