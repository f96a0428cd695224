import type { ReactiveController, ReactiveControllerHost } from 'lit'
import type { Walk } from '../../broker/web/api/books.ts'
import { store, type Frame } from '../state/store.ts'
import { readWalk } from './walk.ts'

/** How a walk came to its end on another screen. */
export interface WalkOver {
  /** Of the batch that it became or was of; `null` where it was given up, or nobody told. */
  readonly batchId: string | null
}

export interface WalkFollower {
  walk(): Walk | null
  /** It was carried on, here or elsewhere. */
  take(walk: Walk): void
  over(end: WalkOver): void
}

/** Of two answers the newer, however late it came. */
export const newerWalk = (now: Walk | null, other: Walk): Walk =>
  now?.id === other.id && now.changes > other.changes ? now : other

/** Follows one walk on every screen that shows it: what is ticked or typed on one appears on the others. */
export class FollowWalk implements ReactiveController {
  readonly #on: WalkFollower
  #stop: (() => void) | undefined

  constructor(host: ReactiveControllerHost, on: WalkFollower) {
    this.#on = on
    host.addController(this)
  }
  hostConnected(): void {
    this.#stop = store.subscribe(frame => this.#take(frame))
  }
  hostDisconnected(): void {
    this.#stop?.()
  }

  #take(frame: Frame): void {
    const id = this.#on.walk()?.id
    if (id === undefined) return
    // A snapshot tells nothing of walks, so something may have been missed.
    if (frame.fresh) void this.#again(id)
    for (const change of frame.walks) {
      if (change.kind === 'walk') {
        if (change.walk.id === id) this.#on.take(change.walk)
      } else if (change.walkId === id) this.#on.over(change)
    }
  }

  async #again(id: string): Promise<void> {
    const walk = await readWalk(id).catch(() => null)
    if (walk === null || this.#on.walk()?.id !== id) return
    if (walk) this.#on.take(walk)
    else this.#on.over({ batchId: null })
  }
}
