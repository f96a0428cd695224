import { z } from 'zod'
import { USUAL_HUSH_MS } from '../../rules/hush.ts'
import type { RecordRow } from '../../store/books-contract.ts'
import type { BatchEventBody } from '../event-contract.ts'
import { WALK_STEPS, WalkKind, type FinishWalk, type Walk, type WalkChange, type Walks } from './contract.ts'
import { conflict, invalid, notFound, saidMoment, type BookParts } from './parts.ts'

const KIND = 'walk'
/** What one walk's forms may hold, characters of JSON. */
const MOST_DRAFT = 32_768
/** Of walks that were given up so many newest are kept. */
const MOST_GIVEN_UP = 100
/** To settle: 10 min (common practice, no source). */
export const SETTLE_MS = 10 * 60_000

const Kept = z.object({
  kind: z.enum(WalkKind),
  vesselId: z.string(),
  batchId: z.string().nullable(),
  by: z.string(),
  steps: z.record(z.string(), z.number()),
  draft: z.record(z.string(), z.unknown()),
  /** What ticking a step wrote into the batch's log, by step. */
  events: z.record(z.string(), z.string()).default({}),
  changes: z.int().default(0),
})
type Kept = z.infer<typeof Kept>

/** The steps of a harvest that are written into the batch's log as they are done. */
const DEEDS: Readonly<Record<string, 'air-off' | 'light-below' | 'settled' | 'drawn-off' | 'air-on'>> = {
  'air-off': 'air-off',
  'light-below': 'light-below',
  settled: 'settled',
  'drawn-off': 'drawn-off',
  'air-on': 'air-on',
}

/** Walked work: kept at every tick, so that a closed browser or a killed service brings it back. */
export function createWalks(parts: BookParts): Walks {
  const { store, room, clock, newId } = parts
  /** One after another: a tick reads, changes and keeps the whole walk. */
  let turn: Promise<unknown> = Promise.resolve()
  const inTurn = <T>(work: () => Promise<T>): Promise<T> => {
    const done = turn.then(work)
    turn = done.catch(() => undefined)
    return done
  }

  const listeners = new Set<(change: WalkChange) => void>()
  const tell = (change: WalkChange): void => {
    for (const listener of [...listeners]) listener(change)
  }

  return {
    onChange(listener) {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
    list: () => inTurn(async () => (await underWay()).map(viewOf)),
    walk: id => inTurn(async () => viewOf(await find(id))),

    begin: ({ kind, vesselId, by, draft = {} }) =>
      inTurn(async () => {
        checkDraft(draft)
        const { batch, row } = room.vessel(vesselId)
        const same = (await underWay()).find(each => {
          const kept = keptOf(each)
          return kept.kind === kind && kept.vesselId === vesselId
        })
        if (same) return viewOf(same)
        if (kind === WalkKind.setUp && batch)
          throw conflict(`Cannot set up ${row.name}: it has a batch; end that first`, 'vesselId')
        if (kind === WalkKind.harvest && !batch)
          throw conflict(`Cannot harvest ${row.name}: it has no batch`, 'vesselId')
        const nowMs = clock()
        const kept: Kept = {
          kind,
          vesselId,
          batchId: batch?.id ?? null,
          by,
          steps: {},
          draft,
          events: {},
          changes: 0,
        }
        const json = JSON.stringify(kept)
        const made = {
          kind: KIND,
          id: newId(),
          createdAtMs: nowMs,
          changedAtMs: nowMs,
          endedAtMs: null,
          json,
        }
        await store.keepRecord(made)
        const walk = viewOf(made)
        tell({ kind: 'walk', walk })
        return walk
      }),

    step: (id, { step, done, atMs, by }) =>
      inTurn(async () => {
        const row = await find(id)
        const kept = keptOf(row)
        const steps: readonly string[] = WALK_STEPS[kept.kind]
        if (!steps.includes(step))
          throw invalid(`Cannot tick off: there is no step ${step}; there are ${steps.join(', ')}`, 'step')
        const moment = saidMoment('tick off', atMs, clock())
        const { [step]: before, ...others } = kept.steps
        if (done === (before !== undefined) && (atMs === undefined || before === moment)) return viewOf(row)
        const events = await writeDeed(kept, step, done ? moment : null, by)
        return keep(row, { ...kept, steps: done ? { ...others, [step]: moment } : others, events })
      }),

    draft: (id, draft) =>
      inTurn(async () => {
        checkDraft(draft)
        const row = await find(id)
        return keep(row, { ...keptOf(row), draft: { ...draft } })
      }),

    typed: (id, fields) =>
      inTurn(async () => {
        const row = await find(id)
        const kept = keptOf(row)
        const draft = { ...kept.draft, ...fields }
        checkDraft(draft)
        return keep(row, { ...kept, draft })
      }),

    finish: (id, input) =>
      inTurn(async () => {
        const row = await find(id)
        const kept = keptOf(row)
        const batchId =
          kept.kind === WalkKind.setUp ? await startFrom(kept, input) : await harvested(kept, input)
        // All of it is in the batch's log by now.
        await store.dropRecord({ kind: KIND, id })
        parts.changed()
        tell({ kind: 'walk-over', walkId: id, vesselId: kept.vesselId, batchId })
        return { batchId }
      }),

    abandon: (id, by) =>
      inTurn(async () => {
        const row = await find(id)
        const kept = keptOf(row)
        if (kept.kind === WalkKind.harvest) await room.endSuppression(kept.vesselId, by)
        await giveUp(row)
      }),
  }

  async function find(id: string): Promise<RecordRow> {
    const row = (await underWay()).find(each => each.id === id)
    if (!row) throw notFound('walk', id)
    return row
  }

  /** Those that can still be gone on with: the vessel is in the room, and its batch is as it was when the walk began. */
  async function underWay(): Promise<RecordRow[]> {
    const rows = (await store.records(KIND)).filter(row => row.endedAtMs === null)
    const live: RecordRow[] = []
    const vessels = new Map(room.snapshot().vessels.map(view => [view.row.id, view]))
    for (const row of rows) {
      const { vesselId, batchId } = keptOf(row)
      const vessel = vessels.get(vesselId)
      if (vessel && (vessel.batch?.id ?? null) === batchId) live.push(row)
      else await giveUp(row)
    }
    return live
  }

  async function giveUp(row: RecordRow): Promise<void> {
    await store.keepRecord({ ...row, endedAtMs: clock() })
    tell({ kind: 'walk-over', walkId: row.id, vesselId: keptOf(row).vesselId, batchId: null })
    const given = (await store.records(KIND)).filter(each => each.endedAtMs !== null)
    given.sort((a, b) => (b.endedAtMs ?? 0) - (a.endedAtMs ?? 0))
    for (const { kind, id } of given.slice(MOST_GIVEN_UP)) await store.dropRecord({ kind, id })
  }

  async function keep(row: RecordRow, kept: Kept): Promise<Walk> {
    const json = JSON.stringify({ ...kept, changes: kept.changes + 1 })
    const changed = { ...row, changedAtMs: clock(), json }
    await store.keepRecord(changed)
    const walk = viewOf(changed)
    tell({ kind: 'walk', walk })
    return walk
  }

  /** A step of a harvest is a line of the batch's log; taken back with its tick. The air's steps begin and end the quiet. */
  async function writeDeed(kept: Kept, step: string, atMs: number | null, by: string) {
    const deed = DEEDS[step]
    const { [step]: written, ...others } = kept.events
    if (kept.batchId === null || deed === undefined) return kept.events
    if (atMs === null) {
      if (written !== undefined) await room.withdrawEvent(kept.batchId, written)
      if (deed === 'air-off') await room.endSuppression(kept.vesselId, by)
      return others
    }
    const replaces = written === undefined ? {} : { replaces: written }
    const body: BatchEventBody = { kind: deed }
    const { id } = await room.recordEvent(kept.batchId, { ...body, atMs, by, ...replaces })
    if (deed === 'air-off')
      await room.suppress(kept.vesselId, { reason: 'harvest', forMs: USUAL_HUSH_MS, by })
    if (deed === 'air-on') await room.endSuppression(kept.vesselId, by)
    return { ...others, [step]: id }
  }

  async function startFrom(kept: Kept, { batch, by }: FinishWalk): Promise<string> {
    if (!batch) throw invalid('Cannot start the batch: its recipe is missing', 'batch')
    const startedAtMs = kept.steps['cysts'] ?? clock()
    const { id } = await room.startBatch({ vesselId: kept.vesselId, startedAtMs, ...batch })
    const steps = Object.entries(kept.steps)
      .map(([step, atMs]) => ({ step, atMs }))
      .sort((a, b) => a.atMs - b.atMs)
    if (steps.length > 0) await room.recordEvent(id, { kind: 'set-up', steps, atMs: startedAtMs, by })
    return id
  }

  async function harvested(kept: Kept, { endBatch = true, note, by }: FinishWalk): Promise<string> {
    const batchId = kept.batchId ?? ''
    await room.endSuppression(kept.vesselId, by)
    if (endBatch) await room.endBatch(batchId, note === undefined ? {} : { note })
    return batchId
  }
}

function checkDraft(draft: Readonly<Record<string, unknown>>): void {
  const { length } = JSON.stringify(draft)
  if (length <= MOST_DRAFT) return
  throw invalid(`Cannot keep the draft: it may hold ${MOST_DRAFT} characters, got ${length}`, 'draft')
}

function keptOf({ json }: RecordRow): Kept {
  return Kept.parse(JSON.parse(json))
}

function viewOf(row: RecordRow): Walk {
  const { kind, vesselId, batchId, by, steps, draft, changes } = keptOf(row)
  const airOff = steps['air-off']
  const quiet = Math.max(airOff ?? 0, steps['light-below'] ?? 0)
  return {
    id: row.id,
    kind,
    vesselId,
    batchId,
    startedAtMs: row.createdAtMs,
    by,
    steps,
    draft,
    changes,
    settlesAtMs: kind === WalkKind.harvest && airOff !== undefined ? quiet + SETTLE_MS : null,
  }
}
