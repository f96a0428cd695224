import { PLANNED_C } from '../batch-forecast.ts'
import type { Room } from '../contract.ts'

/** So many of a vessel's last batches tell how warm it usually is. */
const BATCHES = 3
const POINTS = 48

/** What a vessel's water usually is, °C: the mean of its last batches; as planned where none was measured. */
export class UsualWater {
  readonly #room: Pick<Room, 'batches' | 'readings'>
  readonly #ofBatch = new Map<string, number | null>()

  constructor(room: Pick<Room, 'batches' | 'readings'>) {
    this.#room = room
  }

  async of(vesselId: string): Promise<number> {
    const batches = await this.#room.batches({ vesselId, open: false, limit: BATCHES })
    const means: number[] = []
    for (const { id, startedAtMs, endedAtMs } of batches) {
      if (!this.#ofBatch.has(id)) this.#ofBatch.set(id, await this.#mean(vesselId, startedAtMs, endedAtMs))
      const mean = this.#ofBatch.get(id)
      if (typeof mean === 'number') means.push(mean)
    }
    return means.length === 0 ? PLANNED_C : means.reduce((sum, mean) => sum + mean, 0) / means.length
  }

  async #mean(vesselId: string, fromMs: number, endedAtMs: number | null): Promise<number | null> {
    const toMs = endedAtMs ?? fromMs
    if (toMs <= fromMs) return null
    const { water } = await this.#room.readings(vesselId, { fromMs, toMs, points: POINTS })
    if (!water || water.mean.length === 0) return null
    return water.mean.reduce((sum, waterC) => sum + waterC, 0) / water.mean.length
  }
}
