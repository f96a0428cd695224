import { z } from 'zod'
import { KeptIn } from '../../hatch/lot/use-by.ts'
import type { RecordRow } from '../../store/books-contract.ts'
import type { LotFields, LotRecord } from './contract.ts'
import { dateMs } from './dates.ts'
import { conflict, invalid, keepChanged, notFound, type BookParts } from './parts.ts'

const KIND = 'lot'
/** So many lots may be written down; further ones are refused. */
const MOST_LOTS = 1000

const date = z
  .string()
  .refine(text => dateMs(text) !== null)
  .nullable()
/** A lot as it is kept. What an older version did not know is empty. */
export const KeptLot = z.object({
  name: z.string().trim().min(1).max(80),
  openedOn: date.default(null),
  keptIn: z.enum(KeptIn).nullable().default(null),
  gramsBought: z.number().positive().max(100_000).nullable().default(null),
  bestBefore: date.default(null),
  note: z.string().max(2000).nullable().default(null),
})

/** The records of the lots, each lot's name once. Batches know their lot by its name. */
export class LotShelf {
  readonly #parts: BookParts
  #turn: Promise<unknown> = Promise.resolve()

  constructor(parts: BookParts) {
    this.#parts = parts
  }

  /** One after another: two at once would each make a record of the same name. */
  #inTurn<T>(work: () => Promise<T>): Promise<T> {
    const done = this.#turn.then(work)
    this.#turn = done.catch(() => undefined)
    return done
  }

  /** All of them, with a record for every lot that a batch was started from. */
  list(): Promise<LotRecord[]> {
    return this.#inTurn(async () => {
      const rows = await this.#parts.store.records(KIND)
      const names = new Set(rows.map(row => lotOf(row).name))
      for (const { name } of await this.#parts.store.lots()) {
        if (names.has(name)) continue
        const row = this.#newRow(blank(name))
        await this.#parts.store.keepRecord(row)
        rows.push(row)
      }
      return rows.map(lotOf)
    })
  }

  async find(id: string): Promise<LotRecord> {
    const lot = (await this.list()).find(each => each.id === id)
    if (!lot) throw notFound('lot', id)
    return lot
  }

  async add(fields: LotFields): Promise<LotRecord> {
    const known = await this.list()
    if (known.length >= MOST_LOTS) throw conflict(`Cannot add a lot: ${MOST_LOTS} are written down already`)
    return this.#inTurn(async () => {
      await this.#refuseTaken(fields.name, null)
      const row = this.#newRow(checked(fields))
      await this.#parts.store.keepRecord(row)
      this.#parts.changed()
      return lotOf(row)
    })
  }

  /** A new name goes to all its batches, too. */
  async change(
    id: string,
    { putAway, ...change }: Partial<LotFields> & { putAway?: boolean },
    by: string,
  ): Promise<LotRecord> {
    const lot = await this.find(id)
    return this.#inTurn(async () => {
      const before = (await this.#parts.store.records(KIND)).find(row => row.id === id)
      if (!before) throw notFound('lot', id)
      const fields = checked({ ...fieldsOf(lotOf(before)), ...change })
      if (fields.name !== lot.name) await this.#refuseTaken(fields.name, id)
      const nowMs = this.#parts.clock()
      const endedAtMs =
        putAway === undefined ? before.endedAtMs : putAway ? (before.endedAtMs ?? nowMs) : null
      const after: RecordRow = { ...before, json: JSON.stringify(fields), changedAtMs: nowMs, endedAtMs }
      if (fields.name !== lot.name) await this.#rename(lot.name, fields.name, by)
      await keepChanged(this.#parts, before, after, by)
      this.#parts.changed()
      return lotOf(after)
    })
  }

  async #rename(from: string, to: string, by: string): Promise<void> {
    // Batches first: were it cut short, the old name would still have its record, and the renaming could be done again.
    for (const { id } of await this.#parts.store.batches({ lot: from }))
      await this.#parts.room.changeBatch(id, { lot: to, by })
  }

  async #refuseTaken(name: string, id: string | null): Promise<void> {
    const taken = (await this.#parts.store.records(KIND)).map(lotOf).find(each => each.name === name)
    if (taken && taken.id !== id) throw conflict(`Cannot name a lot ${name}: another has that name`, 'name')
  }

  #newRow(fields: LotFields): RecordRow {
    const nowMs = this.#parts.clock()
    return {
      kind: KIND,
      id: this.#parts.newId(),
      createdAtMs: nowMs,
      changedAtMs: nowMs,
      endedAtMs: null,
      json: JSON.stringify(fields),
    }
  }
}

export function lotOf({ id, createdAtMs, endedAtMs, json }: RecordRow): LotRecord {
  const { data } = KeptLot.safeParse(JSON.parse(json))
  return { ...(data ?? blank(id)), id, createdAtMs, endedAtMs }
}

export const fieldsOf = ({
  name,
  openedOn,
  keptIn,
  gramsBought,
  bestBefore,
  note,
}: LotRecord): LotFields => ({
  name,
  openedOn,
  keptIn,
  gramsBought,
  bestBefore,
  note,
})

const blank = (name: string): LotFields => ({
  name,
  openedOn: null,
  keptIn: null,
  gramsBought: null,
  bestBefore: null,
  note: null,
})

function checked(fields: LotFields): LotFields {
  const read = KeptLot.safeParse(fields)
  if (read.success) return read.data
  const field = String(read.error.issues[0]?.path[0] ?? 'name')
  throw invalid(`Cannot write the lot down: ${field} is wrong`, field)
}
