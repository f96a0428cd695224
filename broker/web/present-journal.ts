import type { Occurrence, TriedBatch as Tried, TryOutView } from '../replay/contract.ts'
import type { JournalEntry as Entry, JournalView } from '../room/alarm-journal.ts'
import type { JournalFigures as Figures } from '../rules/journal/contract.ts'
import type { Journal, JournalEntry, JournalFigures } from './api/journal.ts'
import type { TriedBatch, TryOut } from './api/try-outs.ts'
import type { CalledOf } from './calling.ts'
import { alarm } from './present.ts'
import { iso, isoOrNull } from './times.ts'

/** What an address is called to which nobody gave a name. */
const WAY: Readonly<Partial<Record<string, string>>> = {
  email: 'e-mail',
  webhook: 'webhook',
  push: 'a notification',
}

const seconds = (ms: number | null) => (ms === null ? null : ms / 1000)

export function journal(
  fromMs: number,
  toMs: number,
  { figures, cut, entries, more, marks, names }: JournalView,
  told: readonly CalledOf[],
): Journal {
  return {
    from: iso(fromMs),
    to: iso(toMs),
    figures: journalFigures(figures),
    cut,
    entries: entries.map(entry => journalEntry(entry, told)),
    more,
    marks: marks.map(({ fromMs, toMs, ...mark }) => ({ ...mark, from: iso(fromMs), to: isoOrNull(toMs) })),
    names,
  }
}

function journalFigures({
  busiestTenMinutes: { fromMs, ...busiest },
  longestStanding: longest,
  stale,
  chattering,
  acknowledging: { meanMs, medianMs, ...acknowledging },
  mostFrequent,
  ...figures
}: Figures): JournalFigures {
  return {
    ...figures,
    busiestTenMinutes: { ...busiest, from: isoOrNull(fromMs) },
    longestStanding: longest && { alarmId: longest.alarmId, since: iso(longest.sinceMs) },
    stale: { ...stale, alarmIds: [...stale.alarmIds] },
    chattering: { ...chattering, sources: [...chattering.sources] },
    mostFrequent: [...mostFrequent],
    acknowledging: { ...acknowledging, meanS: seconds(meanMs), medianS: seconds(medianMs) },
  }
}

export function journalEntry(
  { alarm: of, steps, came, because }: Entry,
  told: readonly CalledOf[],
): JournalEntry {
  return {
    alarm: alarm(of),
    came,
    because:
      because &&
      ({
        alarmId: because.alarmId,
        rule: because.rule,
        vesselId: because.vesselId,
        calledAt: isoOrNull(because.calledAtMs),
      } as const),
    steps: steps.map(({ atMs, state, reason, calls, by, says, untilMs, why }) => ({
      at: iso(atMs),
      state,
      reason,
      calls,
      by,
      ...(says === undefined ? {} : { says }),
      ...(untilMs === undefined ? {} : { until: iso(untilMs) }),
      ...(why === undefined ? {} : { why }),
    })),
    told: told
      .filter(({ alarmId }) => alarmId === of.id)
      .map(({ person, label, kind, state, atMs, doneAtMs }) => ({
        person,
        by: label === '' ? (WAY[kind] ?? kind) : label,
        state,
        at: iso(doneAtMs ?? atMs),
      })),
  }
}

/** `vessels`: all there ever were. */
export function tryOut(
  { batches, pending = [], ...view }: TryOutView,
  vessels: readonly { readonly id: string; readonly name: string }[],
): TryOut {
  const of = new Set([...batches, ...pending].map(({ vesselId }) => vesselId))
  return {
    ...view,
    names: Object.fromEntries(vessels.filter(({ id }) => of.has(id)).map(({ id, name }) => [id, name])),
    batches: batches.map(triedBatch),
    pending: pending.map(({ startedAtMs, ...each }) => ({ ...each, startedAt: iso(startedAtMs) })),
  }
}

function triedBatch({ startedAtMs, untilMs, alarms, ...batch }: Tried): TriedBatch {
  return {
    ...batch,
    startedAt: iso(startedAtMs),
    until: iso(untilMs),
    alarms: alarms.map(({ now, then, byMs, ...of }) => ({
      ...of,
      now: now && occurrence(now),
      then: then && occurrence(then),
      byMin: byMs / 60_000,
    })),
  }
}

function occurrence({ raisedAtMs, calledAtMs, clearedAtMs, ...of }: Occurrence) {
  return {
    ...of,
    raisedAt: iso(raisedAtMs),
    calledAt: calledAtMs.map(iso),
    clearedAt: isoOrNull(clearedAtMs),
  }
}
