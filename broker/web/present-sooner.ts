import type { CauseKind } from '../diagnosis/contract.ts'
import type { SoonerCall, SoonerView } from '../replay/sooner/contract.ts'
import type { RuleName } from '../rules/alarm.ts'
import type { Caught, SoonerSearch } from './api/sooner.ts'
import { ruleSetting } from './present.ts'
import { iso, isoOrNull } from './times.ts'

export interface CaughtParts {
  readonly cause: CauseKind | null
  readonly damageAtMs: number | null
  readonly called: {
    readonly rule: RuleName
    readonly alarmId: string
    readonly calledAtMs: number
    readonly acknowledgedAtMs: number | null
    readonly acknowledgedBy: string | null
    readonly overAtMs: number | null
    readonly calls: number
  } | null
  readonly unwatched: string | null
  readonly search: SoonerView | null
}

/** What would have caught it, as the API gives it. */
export function caught({ cause, damageAtMs, called, unwatched, search }: CaughtParts): Caught {
  return {
    cause,
    damageAt: isoOrNull(damageAtMs),
    called: called && {
      rule: called.rule,
      calledAt: iso(called.calledAtMs),
      alarmId: called.alarmId,
      acknowledgedAt: isoOrNull(called.acknowledgedAtMs),
      acknowledgedBy: called.acknowledgedBy,
      overAt: isoOrNull(called.overAtMs),
      calls: called.calls,
    },
    unwatched,
    search: search && searched(search),
  }
}

function searched({ state, progress, result, error }: SoonerView): SoonerSearch {
  const { now = null, found = null, refused = null, tried = 0, checked = 0, cut = false } = result ?? {}
  return {
    state,
    progress,
    now: now && { rule: now.rule, calledAt: iso(now.calledAtMs) },
    found: found && call(found),
    refused: refused && { ...call(refused), batchId: refused.batchId, newCalls: refused.newCalls },
    tried,
    checked,
    cut,
    error,
  }
}

const call = ({ proposal: { rule, knob, setting }, calledAtMs, gainedMs }: SoonerCall) => ({
  rule,
  knob,
  setting: ruleSetting(setting),
  calledAt: iso(calledAtMs),
  gainedMin: gainedMs === null ? null : gainedMs / 60_000,
})
