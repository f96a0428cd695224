import { UPPER_PROBE } from '../rig.ts'
import type { DemoVessel } from './cast.ts'

/** What the demo asks of the HTTP API. */
export class RoomApi {
  #base: string

  constructor(http: string) {
    this.#base = `${http}/api/v1`
  }

  /** The vessel's id, and the service's clock at its creation, Unix ms. */
  async createVessel({ name, scenario }: DemoVessel): Promise<{ id: string; createdAtMs: number }> {
    const made = await this.#send('POST', '/vessels', { name, litres: scenario.litres })
    const { id, createdAt } = made as { id: string; createdAt: string }
    return { id, createdAtMs: Date.parse(createdAt) }
  }

  async assignChannels(vesselId: string, { device, prefix, scenario }: DemoVessel): Promise<void> {
    const ref = (role: string) => `${device}/${prefix}${role}`
    await this.#send('PUT', `/vessels/${vesselId}/channels`, {
      water: ref('water'),
      room: ref('room'),
      air: ref('air'),
      light: ref('light'),
      ...(scenario.upperProbe ? { 'upper-water': ref(UPPER_PROBE) } : {}),
    })
  }

  async startBatch(vesselId: string, startedAtMs: number, { scenario, lot }: DemoVessel): Promise<void> {
    await this.#send('POST', '/batches', {
      vesselId,
      startedAt: new Date(startedAtMs).toISOString(),
      litres: scenario.litres,
      cystsG: Number((scenario.litres * scenario.cystsGpl).toFixed(2)),
      salinityGpl: scenario.salinityGpl,
      lot,
    })
  }

  /** A lot of the invented season, and who wants to be fed. */
  async addLot(lot: object): Promise<void> {
    await this.#send('POST', '/shelf', lot)
  }
  async addCohort(cohort: object): Promise<void> {
    await this.#send('POST', '/cohorts', cohort)
  }
  /** A batch of the invented season, taken into the books as if it had been here. */
  async takeBatch(batch: object): Promise<void> {
    await this.#send('POST', '/brought-in?as=own', batch)
  }

  async #send(method: string, path: string, body: unknown): Promise<unknown> {
    const response = await fetch(this.#base + path, {
      method,
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
    })
    const text = await response.text()
    if (!response.ok) {
      throw new Error(`Cannot furnish the demo: ${method} ${path} answered ${response.status}: ${text}`)
    }
    return JSON.parse(text)
  }
}
