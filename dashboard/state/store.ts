import type { LiveChange, LiveMessage } from '../../broker/web/api/live.ts'
import type { Session } from '../../broker/web/api/session.ts'
import { ApiError, onUnauthorized, request } from './api.ts'
import { RoomClock } from './clock.ts'
import { Feed } from './feed.ts'
import { setMe } from './me.ts'
import { go } from './route.ts'
import { applyMessages, EMPTY_ROOM, Link, type RoomState } from './room-state.ts'

export type ReadingChange = Extract<LiveChange, { kind: 'reading' | 'backfilled' }>
export type SeenChange = Extract<LiveChange, { kind: 'batch-event' }>
export type WalkChange = Extract<LiveChange, { kind: 'walk' | 'walk-over' }>

/** What one frame brought. */
export interface Frame {
  readonly state: RoomState
  readonly link: Link
  /** Readings and backfills of this frame, in order, for the curves. */
  readonly readings: readonly ReadingChange[]
  /** What people saw or took back, in order, for the logs of batches. */
  readonly seen: readonly SeenChange[]
  /** Walked work that was carried on or is over, in order. */
  readonly walks: readonly WalkChange[]
  /** The feeding plan was made anew. */
  readonly planned: boolean
  /** A snapshot came in: curves may have missed something. */
  readonly fresh: boolean
}

/** A hidden page gets no animation frames, but its alarms must still sound. */
const HIDDEN_MS = 250

/** All that the page knows, and the only thing that changes it. However fast messages come, listeners are told once a frame. */
export class Store {
  state: RoomState = EMPTY_ROOM
  link: Link = Link.opening
  readonly clock = new RoomClock(() => performance.now())
  readonly #listeners = new Set<(frame: Frame) => void>()
  readonly #feed: Feed
  #waiting: LiveMessage[] = []
  #scheduled = false

  constructor() {
    this.#feed = new Feed({
      cursor: () => this.state.cursor,
      message: message => this.#take(message),
      lost: () => this.#setLink(this.state.settings ? Link.lost : Link.unreached),
      mayConnect: () => this.#mayConnect(),
    })
    onUnauthorized(() => this.#needSignIn())
  }

  start(): void {
    void this.#mayConnect().then(may => {
      if (may) this.#feed.start()
    })
  }

  /** Calls the listener once a frame with what changed, until the returned function is called. */
  subscribe(listener: (frame: Frame) => void): () => void {
    this.#listeners.add(listener)
    return () => this.#listeners.delete(listener)
  }

  async signIn(password: string, name = ''): Promise<void> {
    await this.#enter(request<Session>('POST', '/session', { password, ...(name === '' ? {} : { name }) }))
  }

  /** Signs in with a link's secret; with a password it is this person's from now on. */
  async useLink(secret: string, password: string): Promise<void> {
    const body = { secret, ...(password === '' ? {} : { password }) }
    await this.#enter(request<Session>('POST', '/session/link', body))
    go('/')
  }

  async #enter(asked: Promise<Session>): Promise<void> {
    setMe(await asked)
    this.#setLink(Link.opening)
    this.#feed.start()
  }

  async signOut(): Promise<void> {
    await request('DELETE', '/session')
    this.#needSignIn()
  }

  #take(message: LiveMessage): void {
    this.clock.set(message.nowMs, message.type === 'snapshot' ? message.clockSpeed : undefined)
    // A snapshot makes all before it needless.
    if (message.type === 'snapshot') this.#waiting = [message]
    else this.#waiting.push(message)
    this.#schedule()
  }

  #schedule(): void {
    if (this.#scheduled) return
    this.#scheduled = true
    const flush = () => {
      if (!this.#scheduled) return
      this.#scheduled = false
      this.#flush()
    }
    if (document.hidden) setTimeout(flush, HIDDEN_MS)
    else requestAnimationFrame(flush)
  }

  /** A page that goes to the background in between would wait for a frame that never comes. */
  catchUp(): void {
    if (!this.#scheduled) return
    this.#scheduled = false
    this.#flush()
  }

  #flush(): void {
    const messages = this.#waiting
    this.#waiting = []
    this.state = applyMessages(this.state, messages)
    if (messages.length > 0) this.link = Link.live
    const changes = messages.flatMap(message => (message.type === 'snapshot' ? [] : message.changes))
    const readings = changes.filter(
      (change): change is ReadingChange => change.kind === 'reading' || change.kind === 'backfilled',
    )
    const seen = changes.filter((change): change is SeenChange => change.kind === 'batch-event')
    const walks = changes.filter(
      (change): change is WalkChange => change.kind === 'walk' || change.kind === 'walk-over',
    )
    const fresh = messages.some(message => message.type === 'snapshot')
    const planned = changes.some(({ kind }) => kind === 'plan')
    const frame: Frame = { state: this.state, link: this.link, readings, seen, walks, planned, fresh }
    for (const listener of [...this.#listeners]) listener(frame)
  }

  #setLink(link: Link): void {
    if (this.link === link) return
    this.link = link
    this.#schedule()
  }

  #needSignIn(): void {
    this.#feed.stop()
    this.#setLink(Link.signIn)
  }

  /** A WebSocket that is refused does not say why, so the reason is asked for by plain HTTP. */
  async #mayConnect(): Promise<boolean> {
    try {
      setMe(await request<Session>('GET', '/session'))
    } catch (error) {
      if (error instanceof ApiError && error.status === 401) return false
    }
    return true
  }
}

export const store = new Store()
document.addEventListener('visibilitychange', () => store.catchUp())
