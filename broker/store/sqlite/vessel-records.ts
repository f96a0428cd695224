import type { AssignmentRow, BatchRow, BatchSelection, Role, VesselRow } from '../contract.ts'
import type { Db } from './database.ts'

/** An assignment as its row holds it. */
type Kept = Omit<AssignmentRow, 'gain' | 'uncertainty'> & {
  readonly role: Role
  readonly gain: number
  readonly uncertainty: number | null
}

/** Vessels, what is assigned to them, and their batches. */
export class VesselRecords {
  readonly #keepVessel
  readonly #vessels
  readonly #keepAssignment
  readonly #assignments
  readonly #keepBatch
  readonly #batches
  readonly #batch
  readonly #lots
  readonly #discard

  constructor(db: Db) {
    this.#keepVessel = db.prepare<[VesselRow]>(
      `INSERT INTO vessel (id, name, litres, created_ms, retired_ms)
       VALUES (@id, @name, @litres, @createdAtMs, @retiredAtMs)
       ON CONFLICT (id) DO UPDATE SET name = excluded.name, litres = excluded.litres,
         created_ms = excluded.created_ms, retired_ms = excluded.retired_ms`,
    )
    this.#vessels = db.prepare<[], VesselRow>(
      `SELECT id, name, litres, created_ms AS createdAtMs, retired_ms AS retiredAtMs FROM vessel
       ORDER BY created_ms, rowid`,
    )
    this.#keepAssignment = db.prepare<[Kept]>(
      `INSERT INTO assignment (id, vessel, role, device, channel, "offset", gain, uncertainty, from_ms, to_ms)
       VALUES (@id, @vesselId, @role, @device, @channel, @offset, @gain, @uncertainty, @fromMs, @toMs)
       ON CONFLICT (id) DO UPDATE SET vessel = excluded.vessel, role = excluded.role, device = excluded.device,
         channel = excluded.channel, "offset" = excluded."offset", gain = excluded.gain,
         uncertainty = excluded.uncertainty, from_ms = excluded.from_ms, to_ms = excluded.to_ms`,
    )
    this.#assignments = db.prepare<[], Kept>(
      `SELECT id, vessel AS vesselId, role, device, channel, "offset", gain, uncertainty,
         from_ms AS fromMs, to_ms AS toMs FROM assignment
       ORDER BY from_ms, rowid`,
    )
    this.#keepBatch = db.prepare<[BatchRow]>(
      `INSERT INTO batch (id, vessel, started_ms, ended_ms, litres, cysts_g, salinity_gpl, lot, goal,
         note)
       VALUES (@id, @vesselId, @startedAtMs, @endedAtMs, @litres, @cystsG, @salinityGpl, @lot, @goal, @note)
       ON CONFLICT (id) DO UPDATE SET vessel = excluded.vessel, started_ms = excluded.started_ms,
         ended_ms = excluded.ended_ms, litres = excluded.litres, cysts_g = excluded.cysts_g,
         salinity_gpl = excluded.salinity_gpl, lot = excluded.lot, goal = excluded.goal, note = excluded.note`,
    )
    const batch = `SELECT id, vessel AS vesselId, started_ms AS startedAtMs, ended_ms AS endedAtMs, litres,
      cysts_g AS cystsG, salinity_gpl AS salinityGpl, lot, goal, note FROM batch`
    this.#batches = db.prepare<
      [Record<'vesselId' | 'lot' | 'open' | 'limit', string | number | null>],
      BatchRow
    >(
      `${batch} WHERE discarded_ms IS NULL AND (@vesselId IS NULL OR vessel = @vesselId) AND (@lot IS NULL OR lot = @lot)
         AND (@open IS NULL OR (ended_ms IS NULL) = @open)
       ORDER BY started_ms DESC, rowid DESC LIMIT @limit`,
    )
    this.#batch = db.prepare<[string], BatchRow>(`${batch} WHERE id = ? AND discarded_ms IS NULL`)
    this.#discard = db.prepare<[number, string]>('UPDATE batch SET discarded_ms = ? WHERE id = ?')
    this.#lots = db.prepare<[], { name: string; batches: number; lastUsedAtMs: number }>(
      `SELECT lot AS name, count(*) AS batches, max(started_ms) AS lastUsedAtMs FROM batch
       WHERE lot IS NOT NULL AND discarded_ms IS NULL
       GROUP BY lot ORDER BY lastUsedAtMs DESC, name`,
    )
  }

  discardBatch(id: string, atMs: number): void {
    this.#discard.run(atMs, id)
  }

  keepVessel(vessel: VesselRow): void {
    this.#keepVessel.run(vessel)
  }

  vessels(): VesselRow[] {
    return this.#vessels.all()
  }

  keepAssignment(assignment: AssignmentRow): void {
    this.#keepAssignment.run({ gain: 1, ...assignment, uncertainty: assignment.uncertainty ?? null })
  }

  assignments(): AssignmentRow[] {
    return this.#assignments.all().map(({ gain, uncertainty, ...row }) => ({
      ...row,
      ...(gain === 1 ? {} : { gain }),
      ...(uncertainty === null ? {} : { uncertainty }),
    }))
  }

  keepBatch(batch: BatchRow): void {
    this.#keepBatch.run(batch)
  }

  /** Newest first. */
  batches({ vesselId, lot, open, limit }: BatchSelection = {}): BatchRow[] {
    return this.#batches.all({
      vesselId: vesselId ?? null,
      lot: lot ?? null,
      open: open === undefined ? null : Number(open),
      limit: limit ?? -1,
    })
  }

  batch(id: string): BatchRow | undefined {
    return this.#batch.get(id)
  }

  lots() {
    return this.#lots.all()
  }
}
