import type { Played } from './faults.ts'
import type { FailurePlayed } from './one-failure.ts'
import type { HealthyResult } from './healthy.ts'

/** A runaway is to be called so long before the limit, min. */
export const LEAD_MIN = 15
/**
 * Water that takes less than {@link LEAD_MIN} from the lamp's failing to its limit cannot be called so long before by anybody, and three
 * minutes are what it takes to tell a change from scatter: the probe's sheath and the water's mixing take one of them, and a probe
 * that steps by a sixteenth of a degree wants two or three steps. Such runaways are counted too, apart.
 */
export const TELLABLE_MIN = 18
/** A month, in days. */
const MONTH_DAYS = 30

export interface Bar {
  readonly words: string
  readonly value: number
  readonly kept: boolean
}

/** One kind of fault, as it was called. Minutes. */
export interface KindFigures {
  readonly fault: string
  readonly played: number
  readonly missed: number
  /** From the fault to the call. */
  readonly callMin: readonly [middle: number, longest: number]
  /** From the call to the damage: least, tenth percentile, middle; of those that did damage. */
  readonly leadMin: readonly [least: number, p10: number, middle: number] | null
  readonly damaged: number
  /** Damaged before anybody was called. */
  readonly late: number
}

export function kindsOf(played: readonly Played[]): KindFigures[] {
  const faults = [...new Set(played.map(({ fault }) => fault))]
  return faults.map(fault => {
    const all = played.filter(one => one.fault === fault)
    const called = all.filter(one => one.calledAtMs !== null)
    const calls = sorted(called.map(one => minutes(one.beganAtMs, one.calledAtMs)))
    const leads = leadsOf(called)
    return {
      fault,
      played: all.length,
      missed: all.length - called.length,
      callMin: [quantile(calls, 0.5), quantile(calls, 1)],
      leadMin: leads.length > 0 ? [quantile(leads, 0), quantile(leads, 0.1), quantile(leads, 0.5)] : null,
      damaged: leads.length,
      late: leads.filter(lead => lead < 0).length,
    }
  })
}

/** Of the runaways that can be told in time, the share that was. */
export function runawayFigures(played: readonly Played[]) {
  const all = played.filter(one => one.fault === 'lamp-runaway' && one.damageAtMs !== null)
  const inTime = (some: readonly Played[]) =>
    some.filter(one => one.calledAtMs !== null && minutes(one.calledAtMs, one.damageAtMs) >= LEAD_MIN).length
  const possible = all.filter(one => minutes(one.beganAtMs, one.damageAtMs) >= LEAD_MIN)
  const tellable = all.filter(one => minutes(one.beganAtMs, one.damageAtMs) >= TELLABLE_MIN)
  return {
    all: all.length,
    allInTime: inTime(all),
    possible: possible.length,
    tellable: tellable.length,
    tellableInTime: inTime(tellable),
  }
}

export function faultBars(played: readonly Played[]): Bar[] {
  const missed = played.filter(one => one.calledAtMs === null).length
  const { tellable, tellableInTime } = runawayFigures(played)
  const share = tellableInTime / tellable
  return [
    { words: 'faults missed (none)', value: missed, kept: missed === 0 && played.length > 0 },
    {
      words: `runaways that take ${TELLABLE_MIN} min or more, called ${LEAD_MIN} min before the limit (share >= 0.95)`,
      value: share,
      kept: share >= 0.95,
    },
  ]
}

export function healthyBars({ calls, vesselDays }: HealthyResult): Bar[] {
  const perMonth = (calls.length / vesselDays) * MONTH_DAYS
  return [{ words: 'false alarms a vessel-month (<= 1)', value: perMonth, kept: perMonth <= 1 }]
}

export function failureBars(played: readonly FailurePlayed[]): Bar[] {
  const most = Math.max(...played.map(one => one.most))
  const uncalled = played.filter(one => one.calls.length === 0).length
  return [
    {
      words: 'most calls in 10 min from one failure of a 12-vessel room (<= 1)',
      value: most,
      kept: most <= 1,
    },
    { words: 'such failures that nobody was called for (none)', value: uncalled, kept: uncalled === 0 },
  ]
}

export function tableOf(kinds: readonly KindFigures[]): string {
  const rows = kinds.map(({ fault, played, missed, callMin, leadMin, damaged, late }) => [
    fault,
    String(played),
    String(missed),
    `${callMin[0].toFixed(1)} (${callMin[1].toFixed(1)})`,
    leadMin === null ? 'harms by what it hides' : leadMin.map(lead => lead.toFixed(0)).join(' / '),
    leadMin === null ? '' : `${late} of ${damaged}`,
  ])
  const head = [
    'fault',
    'played',
    'missed',
    'called after, min: middle (longest)',
    'lead before damage, min: least / p10 / middle',
    'damaged before the call',
  ]
  return [head, head.map(() => '---'), ...rows].map(row => `| ${row.join(' | ')} |`).join('\n')
}

function leadsOf(called: readonly Played[]): number[] {
  return sorted(
    called.filter(one => one.damageAtMs !== null).map(one => minutes(one.calledAtMs, one.damageAtMs)),
  )
}

function minutes(fromMs: number | null, toMs: number | null): number {
  return fromMs === null || toMs === null ? NaN : (toMs - fromMs) / 60_000
}

const sorted = (values: readonly number[]): number[] => [...values].sort((a, b) => a - b)

function quantile(rising: readonly number[], share: number): number {
  return rising[Math.round(share * (rising.length - 1))] ?? NaN
}
