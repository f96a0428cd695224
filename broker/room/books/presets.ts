import { z } from 'zod'
import { HarvestGoal } from '../../hatch/contract.ts'
import type { RecordRow } from '../../store/books-contract.ts'
import { checkDose } from '../dose.ts'
import type { Preset, PresetFields, Presets } from './contract.ts'
import { conflict, keepChanged, notFound, type BookParts } from './parts.ts'

const KIND = 'preset'
/** So many own recipes are kept; further ones are refused. */
const MOST_PRESETS = 100

export const KeptPreset = z.object({
  name: z.string().trim().min(1).max(80),
  vesselId: z.string().nullable().default(null),
  litres: z.number().positive().max(100),
  cystsG: z.number().positive().max(500),
  salinityGpl: z.number().min(0).max(120),
  goal: z.enum(HarvestGoal).default('balanced'),
})

/** Recipes of one's own, by a name or for a vessel. */
export function createPresets(parts: BookParts): Presets {
  const { store, room, clock, newId } = parts
  return {
    list: async () => (await store.records(KIND)).flatMap(presetOf),

    async keep(id, fields) {
      checkDose('keep the recipe', fields)
      if (fields.vesselId !== null) room.vessel(fields.vesselId)
      const rows = await store.records(KIND)
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
      const before = (await store.records(KIND)).find(row => row.id === id)
      if (!before) throw notFound('recipe', id)
      await store.dropRecord({ kind: KIND, id })
    },
  }
}

function presetOf({ id, json }: RecordRow): Preset[] {
  const read = KeptPreset.safeParse(JSON.parse(json))
  return read.success ? [{ id, ...(read.data satisfies PresetFields) }] : []
}
