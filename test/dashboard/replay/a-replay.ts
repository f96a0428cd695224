import type { Diagnosis } from '../../../broker/web/api/diagnosis.ts'
import type { Replay } from '../../../broker/web/api/replay.ts'
import { A_DIAGNOSIS } from '../../web/a-diagnosis.ts'
import { diagnosis } from '../../../broker/web/present-diagnosis.ts'

export const START_MS = Date.parse('2026-03-02T18:00:00.000Z')
export const MINUTE_MS = 60_000
export const HOUR_MS = 60 * MINUTE_MS
export const at = (hours: number): string => new Date(START_MS + hours * HOUR_MS).toISOString()

const band = (value: number) => ({ p10: value, p50: value, p90: value })
const times = (hours: number) => ({ p10: at(hours), p50: at(hours), p90: at(hours) })

/** A batch of 30 h with a reading a minute of the water, none from the 8th hour to the 9th, too hot from the 10th on. */
export function aReplay(): Replay {
  const t = Array.from({ length: 30 * 60 }, (_, minute) => START_MS + minute * MINUTE_MS).filter(
    atMs => atMs < START_MS + 8 * HOUR_MS || atMs >= START_MS + 9 * HOUR_MS,
  )
  const water = t.map(atMs => (atMs < START_MS + 10 * HOUR_MS ? 27 : 35))
  const hourly = Array.from({ length: 31 }, (_, hour) => START_MS + hour * HOUR_MS)
  const out = hourly.map((_, hour) => Math.min(1, Math.max(0, (hour - 18) / 10)))
  return {
    batch: {
      id: 'b1',
      vesselId: 'v1',
      startedAt: at(0),
      endedAt: at(30),
      litres: 1,
      cystsG: 2,
      salinityGpl: 25,
      lot: null,
      goal: 'balanced',
      note: null,
    },
    vessel: { id: 'v1', name: 'Left cone', litres: 1.2 },
    from: at(0),
    to: at(30),
    channels: { water: { t, min: water, max: water, mean: water } },
    course: {
      t: hourly,
      hatched: { p10: out.map(share => share / 2), p50: out, p90: out },
      usable: { p10: out, p50: out, p90: out },
      waterC: { p10: out.map(() => null), p50: out.map(() => null), p90: out.map(() => null) },
    },
    forecast: {
      at: at(30),
      t10: times(19),
      t90: times(27),
      harvest: { from: at(26), best: at(28), until: at(30), bestBand: times(28) },
      hatchedNow: band(1),
      stage: 'harvest',
      progress: 1,
      expectedWaterC: band(27),
      reachesHatch: true,
      goal: 'balanced',
      stagesNow: { umbrella: band(0), instarI: band(1), instarII: band(0) },
      energyLeft: band(0.9),
      hatchShare: band(0.7),
      nauplii: band(300_000),
      why: [],
      heading: null,
      lot: { name: null, batches: 0, observations: 0 },
    },
    expectedWaterC: { t: [], p10: [], p50: [], p90: [] },
    limits: [],
    alarms: [
      {
        came: 1,
        because: null,
        alarm: {
          id: 'a1',
          vesselId: 'v1',
          rule: 'water-too-hot',
          state: 'normal',
          priority: 'high',
          raisedAt: at(10.1),
          clearedAt: at(30),
          acknowledgedAt: at(14),
          acknowledgedBy: 'Ada',
          reason: 'batch-ended',
          action: '',
          text: 'Too hot.',
          value: 30,
          limit: 29.4,
          announcedAt: at(10.1),
          shelvedUntil: null,
          shelvedOnce: false,
          setAsideBy: null,
          suppressedUntil: null,
          causedBy: null,
          consequences: [],
        },
        steps: [
          { at: at(10.1), state: 'unacknowledged', reason: 'above-limit', calls: true, by: null },
          { at: at(14), state: 'acknowledged', reason: 'acknowledged', calls: false, by: 'Ada' },
          { at: at(30), state: 'normal', reason: 'batch-ended', calls: false, by: null },
        ],
        told: [],
      },
    ],
    events: [
      {
        kind: 'note',
        text: 'Smells',
        id: 'e1',
        batchId: 'b1',
        at: at(31),
        recordedAt: at(31),
        by: 'Ada',
        withdrawnAt: null,
      },
      { kind: 'foam', id: 'e2', batchId: 'b1', at: at(3), recordedAt: at(3), by: 'Ada', withdrawnAt: null },
    ],
    reminders: [{ kind: 'knock-down', title: 'Knock the ring down', text: '', due: at(4) }],
  }
}

/** Its diagnosis: too hot from the 10th hour to the end, told by two pieces of evidence that overlap. */
export function aDiagnosis(): Diagnosis {
  const made = diagnosis(A_DIAGNOSIS)
  const [cause] = made.causes
  const [evidence] = cause!.evidence
  return {
    ...made,
    causes: [
      {
        ...cause!,
        evidence: [
          { ...evidence!, spans: [{ from: at(10), to: at(30) }] },
          { ...evidence!, spans: [{ from: at(11), to: at(30) }] },
        ],
      },
    ],
  }
}
