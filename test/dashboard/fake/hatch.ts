import type { BatchEvent, Course, Lot } from '../../../broker/web/api/events.ts'
import type { Vessel } from '../../../broker/web/api/vessels.ts'

/** Invented courses, logs and lots, in the shape of the invented forecasts: nothing here is reckoned. */
export const HOUR_MS = 3_600_000
export const iso = (ms: number): string => new Date(ms).toISOString()

/** The share that is out at an age, in hours. */
export const outAt = (aged: number, t10: number, t90: number): number => {
  const share = 1 / (1 + Math.exp((-4.4 * (aged - (t10 + t90) / 2)) / (t90 - t10)))
  return share < 0.01 ? 0 : share
}
/** How a batch goes, in the shape of its invented forecast. */
export function course(vessel: Vessel, nowMs: number, points: number): Course {
  const { batch, forecast: of } = vessel
  if (!batch || !of) throw new Error('Cannot invent a course: the vessel has no forecast')
  const startMs = Date.parse(batch.startedAt)
  const hoursTo = (time: string) => (Date.parse(time) - startMs) / HOUR_MS
  const [t10, t90] = [hoursTo(of.t10.p50), hoursTo(of.t90.p50)]
  const untilMs = startMs + (Date.parse(of.harvest.until) - startMs) * 1.08
  const t = Array.from({ length: points }, (_, at) =>
    Math.round(startMs + ((untilMs - startMs) * at) / (points - 1)),
  )
  const early = hoursTo(of.harvest.best) - hoursTo(of.harvest.bestBand.p10)
  const late = hoursTo(of.harvest.bestBand.p90) - hoursTo(of.harvest.best)
  const out = (by: number) => t.map(at => outAt((at - startMs) / HOUR_MS + by, t10, t90))
  const food = (by: number) =>
    t.map((at, index) => {
      const past = Math.max(0, (at - Date.parse(of.harvest.best)) / HOUR_MS)
      return (out(by)[index] ?? 0) * Math.exp(-past * 0.03)
    })
  const water = (z: number) =>
    t.map(at => {
      if (at < nowMs) return null
      const ahead = (at - nowMs) / HOUR_MS
      const { p10, p50, p90 } = of.expectedWaterC
      const from = vessel.latest.waterC?.value ?? p50
      const level = from + (p50 - from) * (1 - Math.exp(-ahead / 1.5))
      return level + z * (0.1 + (p90 - p10) * 0.5 * (1 - Math.exp(-ahead / 3)))
    })
  return {
    t,
    hatched: { p10: out(-late), p50: out(0), p90: out(early) },
    usable: { p10: food(-late), p50: food(0), p90: food(early) },
    waterC: { p10: water(-1), p50: water(0), p90: water(1) },
  }
}

export function seen(vessel: Vessel, nowMs: number): BatchEvent[] {
  if (!vessel.batch) return []
  const kept = (id: string, hoursAgo: number) => ({
    id,
    batchId: vessel.batch?.id ?? '',
    at: iso(nowMs - hoursAgo * HOUR_MS),
    recordedAt: iso(nowMs - hoursAgo * HOUR_MS),
    by: 'Ada',
    withdrawnAt: null,
  })
  return [
    { ...kept('e1', 9), kind: 'note', text: 'Knocked the ring back down.' },
    { ...kept('e2', 2.2), kind: 'first-swimmers' },
    {
      ...kept('e3', 2),
      kind: 'count',
      harvest: false,
      estimate: null,
      samples: [{ sampleMl: 1, nauplii: 9000 }],
      withdrawnAt: iso(nowMs - HOUR_MS),
    },
    {
      ...kept('e4', 0.5),
      kind: 'count',
      harvest: false,
      estimate: null,
      samples: [{ sampleMl: 1, nauplii: 210, umbrella: 31, embryos: 80 }],
    },
  ]
}

export function lots(nowMs: number): Lot[] {
  const lot = (
    name: string,
    verdict: Lot['verdict'],
    words: string,
    half: [number, number, number],
    share: [number, number, number],
    batches: number,
    observations: number,
  ): Lot => ({
    name,
    batches,
    observations,
    lastUsedAt: iso(nowMs - batches * 26 * HOUR_MS),
    verdict,
    words,
    hoursToHalf: { p10: half[0], p50: half[1], p90: half[2] },
    hatchShare: { p10: share[0], p50: share[1], p90: share[2] },
    naupliiPerG: { p10: share[0] * 250_000, p50: share[1] * 250_000, p90: share[2] * 250_000 },
    counted: null,
    synchronyH: { p10: 5, p50: 6.2, p90: 8 },
  })
  return [
    lot(
      'tin 7',
      'known',
      'Half are out after 21 h at 27 °C, and three in four hatch.',
      [20, 21, 22.3],
      [0.7, 0.75, 0.8],
      3,
      5,
    ),
    lot(
      'tin 9',
      'unseen',
      'Never counted: taken as an ordinary lot, within a wide band.',
      [13.9, 18.5, 29.6],
      [0.45, 0.73, 0.88],
      1,
      0,
    ),
    lot(
      'spring, blue lid',
      'declining',
      'The last two batches hatched 62 %, the ones before 81 %.',
      [22, 24, 27],
      [0.55, 0.62, 0.69],
      8,
      11,
    ),
    lot(
      'old bag from the cupboard behind the door',
      'gone-bad',
      'Fewer than one in five hatch.',
      [24, 29, 38],
      [0.08, 0.16, 0.24],
      4,
      6,
    ),
  ]
}
