import type { Clock } from '../../clock.ts'
import type { GroupCommit } from './group-commit.ts'
import type { Alarm } from '../../rules/alarm.ts'
import { AlarmState, PLAIN } from '../../rules/alarm.ts'
import type { AlarmSelection, RuleMemory } from '../contract.ts'
import type { Db } from './database.ts'

/** How long an ended alarm is kept: two years. */
const ENDED_ALARMS_KEPT_MS = 2 * 365.25 * 86_400_000

/** What all selections have in common; what is not asked for is null. */
const SELECTED = `raised_ms < @beforeMs AND (ended_ms IS NULL OR ended_ms >= @sinceMs)
  AND (@rule IS NULL OR json ->> 'rule' = @rule) AND (@priority IS NULL OR json ->> 'priority' = @priority)
  ORDER BY raised_ms DESC, rowid DESC LIMIT @limit OFFSET @skip`

interface Bound {
  readonly vesselId: string | null
  readonly rule: string | null
  readonly priority: string | null
  readonly beforeMs: number
  readonly sinceMs: number
  readonly skip: number
  readonly limit: number
}

/** Alarms, and what the rules remember of each vessel. */
export class AlarmRecords {
  readonly #keep
  readonly #standing
  readonly #all
  readonly #ofVessel
  readonly #dropEnded
  readonly #keepMemory
  readonly #memory

  constructor(db: Db) {
    this.#keep = db.prepare<[string, string | null, number, number | null, string]>(
      `INSERT INTO alarm (id, vessel, raised_ms, ended_ms, json) VALUES (?, ?, ?, ?, ?)
       ON CONFLICT (id) DO UPDATE SET vessel = excluded.vessel, raised_ms = excluded.raised_ms,
         ended_ms = excluded.ended_ms, json = excluded.json`,
    )
    this.#standing = db
      .prepare<[], string>('SELECT json FROM alarm WHERE ended_ms IS NULL ORDER BY raised_ms, rowid')
      .pluck()
    this.#all = db.prepare<[Bound], string>(`SELECT json FROM alarm WHERE ${SELECTED}`).pluck()
    this.#ofVessel = db
      .prepare<[Bound], string>(`SELECT json FROM alarm WHERE vessel = @vesselId AND ${SELECTED}`)
      .pluck()
    this.#dropEnded = db.prepare<[number]>('DELETE FROM alarm WHERE ended_ms IS NOT NULL AND ended_ms < ?')
    this.#keepMemory = db.prepare<[RuleMemory]>(
      'INSERT INTO rule_memory (vessel, json) VALUES (@vesselId, @json) ON CONFLICT (vessel) DO UPDATE SET json = excluded.json',
    )
    this.#memory = db.prepare<[], RuleMemory>(
      'SELECT vessel AS vesselId, json FROM rule_memory ORDER BY vessel',
    )
  }

  keep(alarm: Alarm): void {
    this.#keep.run(alarm.id, alarm.vesselId, alarm.raisedAtMs, endOf(alarm), JSON.stringify(alarm))
  }

  standing(): Alarm[] {
    return this.#standing.all().map(read)
  }

  list({ vesselId, rule, priority, beforeMs, sinceMs, skip, limit }: AlarmSelection): Alarm[] {
    const bound = {
      vesselId: vesselId ?? null,
      rule: rule ?? null,
      priority: priority ?? null,
      beforeMs: beforeMs ?? Infinity,
      sinceMs: sinceMs ?? -Infinity,
      skip: skip ?? 0,
      limit,
    }
    return (vesselId === undefined ? this.#all : this.#ofVessel).all(bound).map(read)
  }

  dropEndedBefore(ms: number): void {
    this.#dropEnded.run(ms)
  }

  keepMemory(memory: RuleMemory): void {
    this.#keepMemory.run(memory)
  }

  memory(): RuleMemory[] {
    return this.#memory.all()
  }
}

function endOf({ state, raisedAtMs, clearedAtMs, acknowledgedAtMs }: Alarm): number | null {
  return state === AlarmState.normal ? Math.max(raisedAtMs, clearedAtMs ?? 0, acknowledgedAtMs ?? 0) : null
}

/** Alarms kept by an older version have neither an action nor a chain, and called when they were raised. */
function read(json: string): Alarm {
  const kept = JSON.parse(json) as Omit<Alarm, keyof typeof PLAIN | 'announcedAtMs'> & Partial<Alarm>
  return { ...PLAIN, announcedAtMs: kept.raisedAtMs, ...kept }
}

/** How often old alarms are looked for. */
const DROP_ENDED_EVERY_MS = 86_400_000

/** Has alarms that ended long ago dropped, once a day at most. Without a clock none is. */
export class OldAlarms {
  readonly #clock: Clock | null
  readonly #commits: GroupCommit
  #droppedAtMs = -Infinity

  constructor(clock: Clock | null, commits: GroupCommit) {
    this.#clock = clock
    this.#commits = commits
  }

  dropIfDue(): void {
    const nowMs = this.#clock?.()
    if (nowMs === undefined || nowMs - this.#droppedAtMs < DROP_ENDED_EVERY_MS) return
    this.#droppedAtMs = nowMs
    this.#commits.add('dropEndedAlarms', nowMs - ENDED_ALARMS_KEPT_MS)
  }
}
