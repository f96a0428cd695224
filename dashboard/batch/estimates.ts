import type { ReactiveController, ReactiveControllerHost } from 'lit'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { request } from '../state/api.ts'
import type { Estimate } from '../words/seen.ts'

type Count = Extract<BatchEvent, { kind: 'count' }>

/** What counts say of their vessel: as the broker tells it with each, or else asked for once. */
export class Estimates implements ReactiveController {
  readonly #host: ReactiveControllerHost
  /** By count and by the water it was in; `null` while the answer is under way. */
  readonly #asked = new Map<string, Estimate | null>()

  constructor(host: ReactiveControllerHost) {
    this.#host = host
    host.addController(this)
  }
  hostConnected(): void {
    return
  }

  /** `null` while it is not known. */
  of(count: Count, batch: Pick<Batch, 'litres' | 'cystsG'>): Estimate | null {
    if (count.estimate) return count.estimate
    const key = `${count.id} ${batch.litres}`
    const known = this.#asked.get(key)
    if (known === undefined) void this.#ask(key, count, batch)
    return known ?? null
  }

  async #ask(
    key: string,
    { samples, drawnOffMl }: Count,
    { litres, cystsG }: Pick<Batch, 'litres' | 'cystsG'>,
  ): Promise<void> {
    this.#asked.set(key, null)
    try {
      const body = { litres, drawnOffMl, cystsG, samples }
      const { nauplii } = await request<{ nauplii: Estimate }>('POST', '/counts/estimate', body)
      this.#asked.set(key, nauplii)
      this.#host.requestUpdate()
    } catch {
      // The count itself stands there all the same.
    }
  }
}
