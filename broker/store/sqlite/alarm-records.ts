import type { Alarm } from '../../rules/alarm.ts'
import type { AlarmSelection, RuleMemory } from '../contract.ts'
import { endOfAlarm, readAlarm } from '../kept-alarm.ts'
import type { Db } from './database.ts'

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
    this.#keep.run(alarm.id, alarm.vesselId, alarm.raisedAtMs, endOfAlarm(alarm), JSON.stringify(alarm))
  }

  standing(): Alarm[] {
    return this.#standing.all().map(readAlarm)
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
    return (vesselId === undefined ? this.#all : this.#ofVessel).all(bound).map(readAlarm)
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
