import type { ReactiveController, ReactiveControllerHost } from 'lit'
import { store, type Frame, type Store } from './store.ts'

/** Keeps one selected part of the store, and asks its host to draw again only when that part has changed. */
export class Watch<Part> implements ReactiveController {
  value: Part
  readonly #host: ReactiveControllerHost
  readonly #select: (from: Store) => Part
  #stop: (() => void) | undefined

  constructor(host: ReactiveControllerHost, select: (from: Store) => Part) {
    this.#host = host
    this.#select = select
    this.value = select(store)
    host.addController(this)
  }

  hostConnected(): void {
    this.#stop = store.subscribe(() => this.refresh())
    this.refresh()
  }

  hostDisconnected(): void {
    this.#stop?.()
  }

  /** Selects again, as when what is selected by has changed. */
  refresh(): void {
    const next = this.#select(store)
    if (Object.is(next, this.value)) return
    this.value = next
    this.#host.requestUpdate()
  }
}

/** Hands every frame to its host while it is connected. */
export class Frames implements ReactiveController {
  readonly #take: (frame: Frame) => void
  #stop: (() => void) | undefined

  constructor(host: ReactiveControllerHost, take: (frame: Frame) => void) {
    this.#take = take
    host.addController(this)
  }
  hostConnected(): void {
    this.#stop = store.subscribe(this.#take)
  }
  hostDisconnected(): void {
    this.#stop?.()
  }
}

/** Draws its host again each `periodMs` of real time: for words that say how long ago. */
export class Tick implements ReactiveController {
  readonly #host: ReactiveControllerHost
  readonly #periodMs: number
  #timer: ReturnType<typeof setInterval> | undefined

  constructor(host: ReactiveControllerHost, periodMs: number) {
    this.#host = host
    this.#periodMs = periodMs
    host.addController(this)
  }
  /** The broker's time, Unix ms. */
  get nowMs(): number {
    return store.clock.nowMs()
  }
  hostConnected(): void {
    this.#timer = setInterval(() => this.#host.requestUpdate(), this.#periodMs)
  }
  hostDisconnected(): void {
    clearInterval(this.#timer)
  }
}
