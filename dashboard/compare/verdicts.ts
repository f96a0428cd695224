import type { ReactiveController, ReactiveControllerHost } from 'lit'
import type { Diagnosis } from '../../broker/web/api/diagnosis.ts'
import { request } from '../state/api.ts'

/** What went wrong with each of many batches: asked for one after the other, so that nobody else waits long. */
export class Verdicts implements ReactiveController {
  readonly #host: ReactiveControllerHost
  readonly #known = new Map<string, Diagnosis | null>()
  /** Counts what was wished for, so that an older row of questions ends. */
  #wish = 0

  constructor(host: ReactiveControllerHost) {
    this.#host = host
    host.addController(this)
  }
  hostDisconnected(): void {
    this.#wish++
  }

  /** `undefined` while it is not known, `null` where it could not be found out. */
  of(batchId: string): Diagnosis | null | undefined {
    return this.#known.get(batchId)
  }

  /** Those of these batches that are not known yet, in this order. */
  async ask(batchIds: readonly string[]): Promise<void> {
    const wish = ++this.#wish
    for (const id of batchIds) {
      if (wish !== this.#wish) return
      if (this.#known.has(id)) continue
      const made = await request<Diagnosis>('GET', `/batches/${encodeURIComponent(id)}/diagnosis`).catch(
        () => null,
      )
      this.#known.set(id, made)
      this.#host.requestUpdate()
    }
  }
}
