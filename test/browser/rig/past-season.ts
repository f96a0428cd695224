import { KEPT_UNIT, toKeptUnit } from '../../../firmware-protocol/channels.ts'
import { Quality, type PlacedPack } from '../../../broker/intake/reading.ts'
import { Role } from '../../../broker/store/contract.ts'
import { openStore } from '../../../broker/store/sqlite/open.ts'
import { readingsOf } from '../../../sim/rig.ts'
import type { Scenario } from '../../../sim/scenario.ts'
import { runVirtual } from '../../../sim/virtual.ts'

const HOUR_MS = 3_600_000
const ROLES = ['water', 'room', 'air', 'light'] as const
const VESSELS = 4
const PACKS_A_TURN = 500

export interface Season {
  readonly batches: number
  /** Of each batch. */
  readonly hours: number
  /** A reading so often, s. */
  readonly everyS: number
}

/** When and how each batch ended: `past-0` is the newest. */
export interface SeasonBatch {
  readonly id: string
  readonly vesselId: string
  readonly startedAtMs: number
  readonly endedAtMs: number
}

/**
 * Keeps ended batches, one after the other in each of four vessels, that go through the given stories in turn. A story is simulated
 * once, and shifted in time for each batch of it.
 */
export async function keepPastSeason(
  dir: string,
  stories: readonly Scenario[],
  { batches, hours, everyS }: Season,
): Promise<SeasonBatch[]> {
  const nowMs = Math.floor(Date.now() / 1000) * 1000
  const told = stories.map(story => simulate(story, hours, everyS))
  const kept = Array.from({ length: batches }, (_, n) => {
    const endedAtMs =
      nowMs - 6 * HOUR_MS - Math.floor(n / VESSELS) * (hours + 6) * HOUR_MS - (n % VESSELS) * HOUR_MS
    return {
      id: `past-${n}`,
      vesselId: `v${n % VESSELS}`,
      startedAtMs: endedAtMs - hours * HOUR_MS,
      endedAtMs,
    }
  })
  const store = await openStore({ dir })
  const firstMs = Math.min(...kept.map(({ startedAtMs }) => startedAtMs))
  for (let vessel = 0; vessel < VESSELS; vessel++) {
    await store.keepVessel({
      id: `v${vessel}`,
      name: ['Left cone', 'Right cone', 'Small cone', 'Window cone'][vessel]!,
      litres: 1.2,
      createdAtMs: firstMs - HOUR_MS,
      retiredAtMs: null,
    })
    for (const role of ROLES)
      await store.keepAssignment({
        id: `v${vessel} ${role}`,
        vesselId: `v${vessel}`,
        role: Role[role],
        device: `device-${vessel}`,
        channel: role,
        offset: 0,
        fromMs: firstMs - HOUR_MS,
        toMs: null,
      })
  }
  for (const [n, batch] of [...kept.entries()].reverse()) {
    const { packs, swim } = told[n % told.length]!
    const { litres, cystsGpl, salinityGpl } = stories[n % stories.length]!
    await store.keepBatch({
      ...batch,
      litres,
      cystsG: cystsGpl * litres,
      salinityGpl,
      lot: `Lot ${'AB'[Math.floor(n / 2) % 2]}`,
      goal: 'balanced',
      note: null,
    })
    for (let at = 0; at < packs.length; at += PACKS_A_TURN)
      await Promise.all(
        packs.slice(at, at + PACKS_A_TURN).map(pack => store.keepPack(shifted(pack, batch, n))),
      )
    // Full cysts in a millilitre: a counted product of 252,678 a gram (published count of one product).
    const perMl = (252_678 * cystsGpl) / 1000
    const atMs = batch.endedAtMs - 0.2 * HOUR_MS
    await store.keepBatchEvent({
      id: `count-${n}`,
      batchId: batch.id,
      atMs,
      recordedAtMs: atMs,
      by: 'Ada',
      kind: 'count',
      json: JSON.stringify({
        harvest: true,
        samples: [1, 2, 3].map(() => ({
          sampleMl: 1,
          nauplii: Math.round(swim * perMl),
          embryos: Math.round((1 - swim) * perMl),
        })),
      }),
      withdrawnAtMs: null,
    })
  }
  for (let vessel = 0; vessel < VESSELS; vessel++) await store.seal(`device-${vessel}`)
  await store.close()
  return kept
}

function shifted(pack: PlacedPack, { vesselId, startedAtMs }: SeasonBatch, n: number): PlacedPack {
  return {
    ...pack,
    device: `device-${vesselId.slice(1)}`,
    boot: `past-${n}`,
    receivedAtMs: pack.receivedAtMs + startedAtMs,
    readings: pack.readings.map(reading => ({ ...reading, atMs: reading.atMs + startedAtMs })),
  }
}

/** Times count from the start of the batch. */
function simulate(story: Scenario, hours: number, everyS: number) {
  const packs: PlacedPack[] = []
  const { end } = runVirtual(story, {
    seed: 1,
    hours,
    stepS: everyS,
    onSample(sample) {
      if (!sample.networkUp) return
      const atMs = (sample.atS - 1) * 1000
      const readings = readingsOf(sample, '').flatMap(({ name, unit, value }) => {
        const quantity = ROLES.find(role => role === name)
        if (quantity === undefined) return []
        const kept = toKeptUnit(quantity, unit, value)!
        return [
          { channel: name, quantity, unit: KEPT_UNIT[quantity], value: kept, quality: Quality.good, atMs },
        ]
      })
      packs.push({ device: '', boot: '', seq: packs.length, receivedAtMs: atMs + 40, readings })
    },
  })
  return { packs, swim: (end.census.instarI + end.census.instarII) / end.census.sample }
}
