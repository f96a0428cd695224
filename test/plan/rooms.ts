import type { Cohort, Outlook, PlanInput, RunningBatch } from '../../broker/plan/contract.ts'

export const HOUR = 3_600_000
/** A Monday, 06:00 in UTC. */
export const MONDAY = Date.parse('2026-03-02T06:00:00Z')

/** Numbers in [0, 1) from a seed: mulberry32, public domain. */
export function seeded(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296
  }
}

export const band = (p50: number, apart = 0) => ({ p10: p50 - apart, p50, p90: p50 + apart })

export function cohort(over: Partial<Cohort> = {}): Cohort {
  return {
    id: 'fry',
    name: 'Fry',
    species: 'angelfish',
    fry: 100,
    bornMs: MONDAY - 5 * 24 * HOUR,
    ration: [{ fromDay: 0, naupliiPerFry: 150 }],
    times: ['08:00', '18:00'],
    food: { kind: 'up-to', hours: 24 },
    endsMs: null,
    ...over,
  }
}

export function room(over: Partial<PlanInput> = {}): PlanInput {
  const vessels = over.vessels ?? [
    { id: 'left', name: 'Left', litres: 1, freeFromMs: MONDAY, turnroundMin: 30, maxGpl: 5 },
  ]
  const lots = over.lots ?? [{ id: 'a', name: 'A', gramsLeft: 100 }]
  const outlooks: Outlook[] = vessels.flatMap(({ id }) =>
    lots.map(lot => ({
      vesselId: id,
      lotId: lot.id,
      goal: 'balanced' as const,
      readyH: band(22, 1),
      ageH: 3,
      ageing: 1,
      naupliiPerG: 180_000,
    })),
  )
  return {
    nowMs: MONDAY,
    untilMs: MONDAY + 4 * 24 * HOUR,
    zone: 'UTC',
    wake: { from: '06:00', until: '22:00' },
    cohorts: [cohort()],
    vessels,
    lots,
    outlooks,
    running: [],
    held: [],
    cold: { keepsH: 24, survival: 0.95 },
    gramStep: 0.1,
    spare: 0.1,
    ...over,
  }
}

/** A small room of which no two are alike: one or two vessels that hatch fast, so that they have to be used again and again. */
export function smallRoom(seed: number): PlanInput {
  const random = seeded(seed)
  const pick = <T>(from: readonly T[]): T => from[Math.floor(random() * from.length)]!
  const vessels = Array.from({ length: pick([1, 1, 2]) }, (_, i) => ({
    id: `v${i}`,
    name: `V${i}`,
    litres: pick([0.5, 1]),
    freeFromMs: MONDAY + pick([0, 0, 4]) * HOUR,
    turnroundMin: pick([0, 30, 120]),
    maxGpl: pick([0.8, 1, 2]),
  }))
  const lots = Array.from({ length: pick([1, 1, 2]) }, (_, i) => ({
    id: `lot${i}`,
    name: `Lot ${i}`,
    gramsLeft: pick([null, 0.5, 1.2, 3]),
  }))
  const kind = lots.map(() => ({ ready: pick([9, 14, 18, 21]), perG: pick([120_000, 150_000, 200_000]) }))
  const outlooks = vessels.flatMap(vessel =>
    lots.map((lot, i) => ({
      vesselId: vessel.id,
      lotId: lot.id,
      goal: 'balanced' as const,
      readyH: band(kind[i]!.ready + (vessel.id === 'v1' ? pick([0, 2]) : 0)),
      ageH: pick([2, 3.5]),
      ageing: 1,
      naupliiPerG: kind[i]!.perG,
    })),
  )
  const running: RunningBatch[] =
    random() < 0.4
      ? [
          {
            id: 'open',
            vesselId: 'v0',
            ready: band(MONDAY + pick([-3, 2, 6, 11]) * HOUR),
            ageH: 3,
            ageing: 1,
            nauplii: pick([20_000, 60_000, 120_000]),
          },
        ]
      : []
  const free = vessels.map(vessel =>
    running.some(({ vesselId }) => vesselId === vessel.id) ? { ...vessel, freeFromMs: MONDAY } : vessel,
  )
  const cohorts = Array.from({ length: pick([1, 1, 2]) }, (_, i) =>
    cohort({
      id: `c${i}`,
      bornMs: MONDAY + pick([-120, 24, 24, 30]) * HOUR,
      fry: pick([50, 120, 300, 500]),
      ration: [{ fromDay: 0, naupliiPerFry: pick([60, 150, 400]) }],
      times: pick([['08:00'], ['08:00', '18:00'], ['10:00', '20:00']]),
      food: pick([
        { kind: 'instar-1' as const },
        { kind: 'up-to' as const, hours: 14 },
        { kind: 'up-to' as const, hours: 24 },
      ]),
    }),
  )
  return {
    ...room({ vessels: free, lots, cohorts, running, outlooks }),
    untilMs: MONDAY + pick([40, 48, 62]) * HOUR,
    cold: pick([null, null, { keepsH: 24, survival: 1 }]),
    held: [],
    gridMin: 120,
    gramStep: pick([0.1, 0.25]),
  }
}
