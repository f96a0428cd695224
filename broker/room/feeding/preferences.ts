import { z } from 'zod'
import { ALIVE_AT_LIMIT, COLDEST_BAND_C, holdHours } from '../../hatch/holding/holding.ts'
import type { Store } from '../../store/contract.ts'
import type { PlanPreferences } from './contract.ts'

const KEY = 'feeding-plan'

/** Held at 2 to 4 °C: for as long and as well as is published. */
export const HELD_COLD = { keepsH: holdHours(COLDEST_BAND_C), survival: ALIVE_AT_LIMIT } as const

/**
 * A tenth of a gram is what a kitchen scale shows; 5 g/l the most that is published (FAO Fisheries Technical Paper 361); the rest are own
 * choices.
 */
export const usualPreferences = (zone: string): PlanPreferences => ({
  zone,
  wake: { from: '07:00', until: '22:30' },
  gramStep: 0.1,
  spare: 0.1,
  cold: HELD_COLD,
  days: 7,
  turnroundMin: 30,
  maxGpl: 3,
})

const Kept = z
  .object({
    zone: z.string().refine(isZone),
    wake: z.object({ from: z.string(), until: z.string() }),
    gramStep: z.number().positive(),
    spare: z.number().min(0),
    cold: z.object({ keepsH: z.number().positive(), survival: z.number() }).nullable(),
    days: z.number(),
    turnroundMin: z.number(),
    maxGpl: z.number().positive(),
  })
  .partial()

export async function loadPreferences(
  store: Pick<Store, 'document'>,
  zone: string,
): Promise<PlanPreferences> {
  const json = await store.document(KEY)
  const kept = json === undefined ? {} : (Kept.safeParse(JSON.parse(json)).data ?? {})
  return { ...usualPreferences(zone), ...(kept as Partial<PlanPreferences>) }
}

export async function savePreferences(
  store: Pick<Store, 'keepDocument'>,
  preferences: PlanPreferences,
): Promise<void> {
  await store.keepDocument(KEY, JSON.stringify(preferences))
}

export function isZone(zone: string): boolean {
  try {
    return new Intl.DateTimeFormat('en', { timeZone: zone }).resolvedOptions().timeZone.length > 0
  } catch {
    return false
  }
}
