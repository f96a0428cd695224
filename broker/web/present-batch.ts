import type { BatchEvent as RoomEvent } from '../room/event-contract.ts'
import type { BatchForecastView, LotView } from '../room/views.ts'
import type { Band } from '../hatch/contract.ts'
import type { HatchCourse } from '../hatch/course.ts'
import { developmentRate } from '../hatch/development/thermal-clock.ts'
import type { CountedSoFar } from '../hatch/lot/counted-so-far.ts'
import type { BatchRow } from '../store/contract.ts'
import type { BatchEvent, Course, Lot, LotCounted } from './api/events.ts'
import type { Forecast } from './api/forecast.ts'
import type { Batch } from './api/batches.ts'
import { lotWords } from './lot-words.ts'
import { iso, isoOrNull } from './times.ts'

/** What a batch and its lot are to the API: see `present.ts`. */

export function batch(row: BatchRow): Batch {
  const { id, vesselId, litres, cystsG, salinityGpl, lot, goal, note } = row
  const startedAt = iso(row.startedAtMs)
  return {
    id,
    vesselId,
    startedAt,
    endedAt: isoOrNull(row.endedAtMs),
    litres,
    cystsG,
    salinityGpl,
    lot,
    goal,
    note,
  }
}

/** Lots are compared at the middle of the trade's working range (common practice, no source), °C. */
const HOURS_AT_C = 27

const numbers = ({ p10, p50, p90 }: Band) => ({ p10, p50, p90 })
const times = ({ p10, p50, p90 }: Band) => ({ p10: iso(p10), p50: iso(p50), p90: iso(p90) })

const timesOrNever = ({ p10, p50, p90 }: Band) => ({
  p10: iso(p10),
  p50: iso(p50),
  p90: p90 === Infinity ? null : iso(p90),
})

export function forecast(of: BatchForecastView): Forecast {
  const { fromMs, bestMs, untilMs, best } = of.harvest
  return {
    at: iso(of.atMs),
    t10: times(of.t10),
    t90: times(of.t90),
    harvest: { from: iso(fromMs), best: iso(bestMs), until: iso(untilMs), bestBand: times(best) },
    hatchedNow: numbers(of.hatchedNow),
    stage: of.stage,
    progress: of.progress,
    expectedWaterC: numbers(of.expectedWater),
    reachesHatch: of.reachesHatch,
    goal: of.goal,
    stagesNow: {
      umbrella: numbers(of.stages.umbrella),
      instarI: numbers(of.stages.instarI),
      instarII: numbers(of.stages.instarII),
    },
    energyLeft: numbers(of.energyLeft),
    hatchShare: numbers(of.hatchPercentage),
    nauplii: numbers(of.nauplii),
    ...(of.firstSeenMs === undefined ? {} : { firstSeenAt: iso(of.firstSeenMs) }),
    ...(of.moved
      ? {
          moved: {
            kind: of.moved.kind,
            at: iso(of.moved.atMs),
            vesselId: of.moved.vesselId,
            laterH: of.moved.laterMs / 3_600_000,
            hatchedBefore: numbers(of.moved.hatchedBefore),
          },
        }
      : {}),
    ...(of.waterMeasured === undefined ? {} : { waterMeasured: of.waterMeasured }),
    ...(of.hatchShareBefore ? { hatchShareBefore: numbers(of.hatchShareBefore) } : {}),
    ...(of.naupliiBefore ? { naupliiBefore: numbers(of.naupliiBefore) } : {}),
    why: of.why
      .filter(({ sure }) => sure)
      .map(({ kind, sinceMs, laterMs, waterC, plannedC, expected }) => ({
        kind,
        since: isoOrNull(sinceMs),
        laterH: laterMs / 3_600_000,
        waterC,
        plannedC,
        expected,
      })),
    heading: of.heading && { limitC: of.heading.limitC, at: timesOrNever(of.heading.at) },
    lot: of.lot,
  }
}

export function course({ t, hatched, usable, water }: HatchCourse): Course {
  // The columns go straight into JSON; copying thousands of numbers only to drop `readonly` would be waste.
  return { t, hatched, usable, waterC: water } as Course
}

export function lot({ name, batches, lastUsedAtMs, summary }: LotView): Lot {
  const perHour = developmentRate(HOURS_AT_C)
  const hours = ({ p10, p50, p90 }: Band) => ({ p10: p10 / perHour, p50: p50 / perHour, p90: p90 / perHour })
  return {
    name,
    batches,
    observations: summary.observations,
    lastUsedAt: iso(lastUsedAtMs),
    verdict: summary.verdict,
    words: lotWords(summary),
    hoursToHalf: hours(summary.medianDegH),
    hatchShare: numbers(summary.hatchPercentage),
    naupliiPerG: numbers(summary.naupliiPerG),
    counted: summary.counted && lotCounted(summary.counted),
    synchronyH: hours(summary.synchronyDegH),
  }
}

export const lotCounted = ({ batches, naupliiPerG, hatchShare }: CountedSoFar): LotCounted => ({
  batches,
  naupliiPerG: { ...naupliiPerG },
  hatchShare,
})

export function batchEvent(of: RoomEvent): BatchEvent {
  const { atMs, recordedAtMs, withdrawnAtMs, estimate, ...rest } = of
  return {
    ...told(rest),
    at: iso(atMs),
    recordedAt: iso(recordedAtMs),
    withdrawnAt: isoOrNull(withdrawnAtMs),
    ...(of.kind === 'count' ? { estimate: estimate && { ...estimate.nauplii, words: estimate.words } } : {}),
  } as BatchEvent
}

type Body = Omit<RoomEvent, 'atMs' | 'recordedAtMs' | 'withdrawnAtMs' | 'estimate'>

/** Times within what was seen are ISO 8601 too. */
function told(body: Body): object {
  const said = body as RoomEvent
  switch (said.kind) {
    case 'set-up':
      return { ...body, steps: said.steps.map(({ step, atMs }) => ({ step, at: iso(atMs) })) }
    case 'taken': {
      const { firstOutAtMs, ...rest } = said
      return { ...rest, firstOutAt: isoOrNull(firstOutAtMs) }
    }
    case 'corrected':
      return { ...body, before: withIso(said.before), after: withIso(said.after) }
    default:
      return body
  }
}

/** Fields that are called `…AtMs` become `…At`. */
function withIso(said: Readonly<Record<string, string | number | null>>) {
  return Object.fromEntries(
    Object.entries(said).map(([name, value]) =>
      name.endsWith('AtMs') ? [name.slice(0, -2), isoOrNull(value as number | null)] : [name, value],
    ),
  )
}
