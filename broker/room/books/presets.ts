import { z } from 'zod'
import { HarvestGoal } from '../../hatch/contract.ts'
import type { RecordRow } from '../../store/books-contract.ts'
import { checkDose } from '../dose.ts'
import type { Preset, PresetFields, Presets } from './contract.ts'
import { conflict, keepChanged, notFound, type BookParts } from './parts.ts'
import { MOST_SALT_GPL } from '../../hatch/recipe/most-salt.ts'

const KIND = 'preset'
/** So many own recipes are kept; further ones are refused. */
const MOST_PRESETS = 100
/** Of those put away so many newest are kept, so that nothing is lost by a slip. */
const MOST_PUT_AWAY = 100

export const KeptPreset = z.object({
  name: z.string().trim().min(1).max(80),
  vesselId: z.string().nullable().default(null),
  litres: z.number().positive().max(100),
  cystsG: z.number().positive().max(500),
  salinityGpl: z.number().min(0).max(MOST_SALT_GPL),
  goal: z.enum(HarvestGoal).default('balanced'),
})

/** Recipes of one's own, by a name or for a vessel. Dropped, they are put away and not deleted. */
export function createPresets(parts: BookParts): Presets {
  const { store, room, clock, newId } = parts
  return {
    list: async () => (await standing()).flatMap(presetOf),

    async keep(id, fields) {
      checkDose('keep the recipe', fields)
      if (fields.vesselId !== null) room.vessel(fields.vesselId)
      const rows = await standing()
      const before = rows.find(row => row.id === id)
      if (id !== null && !before) throw notFound('recipe', id)
      if (!before && rows.length >= MOST_PRESETS)
        throw conflict(`Cannot keep the recipe: ${MOST_PRESETS} are kept already; drop one first`)
      const nowMs = clock()
      const after: RecordRow = {
        kind: KIND,
        id: before?.id ?? newId(),
        createdAtMs: before?.createdAtMs ?? nowMs,
        changedAtMs: nowMs,
        endedAtMs: null,
        json: JSON.stringify(fields),
      }
      if (before) await keepChanged(parts, before, after, '')
      else await store.keepRecord(after)
      return { id: after.id, ...fields }
    },

    async drop(id) {
      const before = (await standing()).find(row => row.id === id)
      if (!before) throw notFound('recipe', id)
      await store.keepRecord({ ...before, endedAtMs: clock() })
      await dropOldest()
    },
  }

  async function standing(): Promise<RecordRow[]> {
    return (await store.records(KIND)).filter(({ endedAtMs }) => endedAtMs === null)
  }

  async function dropOldest(): Promise<void> {
    const away = (await store.records(KIND)).filter(({ endedAtMs }) => endedAtMs !== null)
    away.sort((a, b) => (b.endedAtMs ?? 0) - (a.endedAtMs ?? 0))
    for (const { kind, id } of away.slice(MOST_PUT_AWAY)) await store.dropRecord({ kind, id })
  }
}

function presetOf({ id, json }: RecordRow): Preset[] {
  const read = KeptPreset.safeParse(JSON.parse(json))
  return read.success ? [{ id, ...(read.data satisfies PresetFields) }] : []
}
