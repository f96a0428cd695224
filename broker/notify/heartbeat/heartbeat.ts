import type { Logger } from 'pino'
import type { Clock } from '../../clock.ts'
import { attempt } from '../attempt.ts'
import { waitMs } from '../backoff.ts'
import type { DeliveryError } from '../contract.ts'
import type { DocumentStore } from '../settings.ts'
import { callWatcher } from './beat.ts'
import { checkHeartbeat, loadHeartbeat, saveHeartbeat, type HeartbeatSettings } from './settings.ts'
import { ailmentsBy, type VitalSign } from './vital-signs.ts'
import { WatcherHealth } from './watcher-health.ts'

/** How often the service looks at itself between beats, ms: trouble is told, and a beat given when it is over, so soon. */
const LOOK_EVERY_MS = 60_000

export interface HeartbeatParts {
  readonly store: DocumentStore
  /** Tells the time of day, for what is shown. */
  readonly clock: Clock
  /** Real time, which no one sets and no demo runs faster: a watcher outside knows no other. */
  readonly monotonicMs: () => number
  /** From 0 to 1. */
  readonly random: () => number
  readonly logger: Pick<Logger, 'warn' | 'error'>
  readonly signs: readonly VitalSign[]
  /** Told in words when the watcher cannot be reached, and `null` when it is again. */
  readonly onWatcher: (failure: string | null) => void
  readonly patienceMs?: number
}

/** How it stands, for a screen. */
export interface HeartbeatNow {
  readonly settings: HeartbeatSettings | null
  /** When the watcher last took a beat, Unix ms; `null` when none since the start. */
  readonly lastBeatAtMs: number | null
  /** What keeps the service from beating, as last looked; empty when all is well. */
  readonly ailments: readonly string[]
  /** Why the last call did not get through; `null` when it did. */
  readonly missed: string | null
  /** It did not get through for so long that it is an alarm. */
  readonly failing: boolean
}

/**
 * Tells a watcher outside every few minutes that the service is well: truly well, by looking at it each time. When this machine
 * dies, or only stops doing its work, the beats stop, and the watcher calls the person: nothing in here could.
 */
export class Heartbeat {
  readonly #parts: HeartbeatParts
  readonly #health: WatcherHealth
  readonly #stop = new AbortController()
  #settings: HeartbeatSettings | null
  #ailments: readonly string[] = []
  #lastBeatAtMs: number | null = null
  #missed: string | null = null
  /** On the monotonic clock. */
  #nextLookMs = -Infinity
  #nextCallMs = -Infinity
  /** One thing after the other. */
  #acting: Promise<unknown> = Promise.resolve()
  #busy = false

  private constructor(parts: HeartbeatParts, settings: HeartbeatSettings | null) {
    this.#parts = parts
    this.#settings = settings
    this.#health = new WatcherHealth(failure => parts.onWatcher(failure))
  }

  static async open(parts: HeartbeatParts): Promise<Heartbeat> {
    return new Heartbeat(parts, await loadHeartbeat(parts.store))
  }

  /** To be called about once a second, by a timer of its own: whatever else stops, this must notice. */
  tick(): void {
    if (this.#settings === null || this.#busy || this.#parts.monotonicMs() < this.#nextLookMs) return
    this.#busy = true
    void this.#inTurn(() => this.#look())
      .catch((error: unknown) => this.#parts.logger.error({ err: error }, 'a heartbeat failed'))
      .finally(() => (this.#busy = false))
  }

  now(): HeartbeatNow {
    return {
      settings: this.#settings,
      lastBeatAtMs: this.#lastBeatAtMs,
      ailments: this.#settings === null ? [] : this.#ailments,
      missed: this.#missed,
      failing: this.#health.failing,
    }
  }

  /**
   * Another watcher is called at once. `null`: nobody is any more.
   * @throws RoomError of kind `invalid` that names the field.
   */
  change(sent: HeartbeatSettings | null): Promise<HeartbeatNow> {
    return this.#inTurn(async () => {
      const settings = sent === null ? null : checkHeartbeat(sent)
      await saveHeartbeat(this.#parts.store, settings)
      if (settings?.url !== this.#settings?.url) {
        this.#health.forget()
        this.#lastBeatAtMs = null
        this.#missed = null
      }
      this.#settings = settings
      this.#nextLookMs = this.#nextCallMs = -Infinity
      return this.now()
    })
  }

  /** Beats now, and says in words what came of it. Without settings nothing can be tried. */
  tryNow(): Promise<{ arrived: boolean; words: string }> {
    return this.#inTurn(async () => {
      const settings = this.#settings
      if (settings === null)
        return { arrived: false, words: 'There is no address yet: save one, then try it.' }
      this.#ailments = await this.#ailing()
      if (this.#ailments.length > 0)
        return {
          arrived: false,
          words: `No beat was sent, because all is not well here: ${this.#ailments.join(' ')}`,
        }
      const error = await this.#call(settings)
      return error === null
        ? { arrived: true, words: 'The watcher answered. It should show a call of just now.' }
        : { arrived: false, words: error.message }
    })
  }

  /** Beats no more. The next beat that the watcher misses is the one that tells of it. */
  async close(): Promise<void> {
    this.#settings = null
    this.#stop.abort()
    await this.#acting
  }

  async #look(): Promise<void> {
    const settings = this.#settings
    if (settings === null) return
    const wasWell = this.#ailments.length === 0
    this.#ailments = await this.#ailing()
    const well = this.#ailments.length === 0
    const nowMs = this.#parts.monotonicMs()
    if (well !== wasWell) {
      this.#nextCallMs = -Infinity
      if (!well) this.#parts.logger.warn({ ailments: this.#ailments }, 'the heartbeat stops: not all is well')
    }
    if (nowMs >= this.#nextCallMs && (well || settings.tellTrouble)) await this.#call(settings)
    this.#nextLookMs = Math.min(this.#parts.monotonicMs() + LOOK_EVERY_MS, this.#nextCallMs)
    // While nothing is told there is no call to wait for.
    if (!well && !settings.tellTrouble) this.#nextLookMs = nowMs + LOOK_EVERY_MS
  }

  /** Calls the watcher, and says what went wrong. */
  async #call(settings: HeartbeatSettings): Promise<DeliveryError | null> {
    const { clock, monotonicMs, random, logger } = this.#parts
    const startedMs = monotonicMs()
    const ailments = this.#ailments
    const outcome = await attempt(
      signal => callWatcher(settings, ailments, clock(), signal),
      this.#stop.signal,
    )
    if (outcome.kind === 'stopped') return null
    if (outcome.kind === 'delivered') {
      this.#health.reached()
      this.#missed = null
      if (ailments.length === 0) this.#lastBeatAtMs = clock()
      this.#nextCallMs = startedMs + settings.everyMinutes * 60_000
      return null
    }
    const { error } = outcome
    this.#missed = error.message
    this.#health.missed(error.message, monotonicMs())
    // The address is as good as a key to the watcher: it stays out of the log.
    logger.warn({ inARow: this.#health.failuresInARow }, `a heartbeat did not get through: ${error.message}`)
    const wait = waitMs(this.#health.failuresInARow, random(), error.retryAfterMs)
    this.#nextCallMs = monotonicMs() + Math.min(wait, settings.everyMinutes * 60_000)
    return error
  }

  #ailing(): Promise<string[]> {
    return ailmentsBy(this.#parts.signs, this.#parts.patienceMs)
  }

  #inTurn<T>(act: () => Promise<T>): Promise<T> {
    const mine = this.#acting.then(act)
    this.#acting = mine.catch(() => undefined)
    return mine
  }
}
