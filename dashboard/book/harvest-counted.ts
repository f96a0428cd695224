import type { ReactiveController, ReactiveControllerHost } from 'lit'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { harvestCounts, harvestEstimate, type HarvestEstimate } from '../batch/harvest-estimate.ts'
import type { Harvested } from './harvest-summary.ts'

/** What the counts at a harvest say of it, reckoned anew as often as there are others. */
export class HarvestCounted implements ReactiveController {
  result: HarvestEstimate | null = null
  /** At which step the newest count belongs. */
  at: 'share' | 'count' = 'count'
  /** The counts that the result is of. */
  #of = ''
  readonly #host: ReactiveControllerHost

  constructor(host: ReactiveControllerHost) {
    this.#host = host
    host.addController(this)
  }
  hostConnected(): void {
    return
  }

  follow(events: readonly BatchEvent[], batch: Batch | null): void {
    const counts = harvestCounts(events)
    if (batch && counts && counts.key !== this.#of) void this.#reckon(counts, batch)
    if (!counts) this.result = null
    this.at = counts && counts.whole?.id === counts.count.id ? 'share' : 'count'
  }

  async #reckon(counts: NonNullable<ReturnType<typeof harvestCounts>>, batch: Batch): Promise<void> {
    this.#of = counts.key
    try {
      const result = await harvestEstimate(counts, batch)
      // Another count came in meanwhile.
      if (this.#of === counts.key) this.result = result
    } catch {
      // The count stands in the log without it.
      this.result = null
    }
    this.#host.requestUpdate()
  }

  /** The harvest as it is known before the end, with which its log is let go. */
  async harvested(vessel: Vessel, batch: Batch, events: readonly BatchEvent[]): Promise<Harvested> {
    // The count that was just saved may not be reckoned yet.
    const counts = harvestCounts(events)
    const count = counts ? await harvestEstimate(counts, batch).catch(() => this.result) : null
    return { batchId: batch.id, vesselName: vessel.name, count, expected: vessel.forecast, events }
  }
}
