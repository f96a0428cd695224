import type { Buffer, WaterKind } from '../../broker/hatch/recipe/buffer.ts'
import { limitsText, type Limits } from '../../broker/hatch/recipe/errors.ts'
import { RECIPE_LIMITS } from '../../broker/hatch/recipe/limits.ts'
import type { RecipeInput } from '../../broker/hatch/recipe/recipe.ts'
import { readNumber } from '../forms/form.ts'

/** What stands in the page's fields, as it was typed. Fields that may stay empty are empty until somebody fills them. */
export interface WishText {
  readonly litres: string
  readonly salinityGpl: string
  readonly cystsGpl: string
  readonly saltSpoonG: string
  readonly cystSpoonG: string
  readonly sodaSpoonG: string
  /** In per cent. */
  readonly purity: string
  readonly moisture: string
  readonly buffer: Buffer
  readonly waterKind: WaterKind
}
/** The fields that a number is typed into. */
export type NumberField = Exclude<keyof WishText, 'buffer' | 'waterKind'>

/** Each field's number in the recipe, and what its own unit is multiplied with to get there. */
const FIELDS: Readonly<
  Record<
    NumberField,
    { readonly to: keyof typeof RECIPE_LIMITS; readonly times: number; readonly needed: boolean }
  >
> = {
  litres: { to: 'litres', times: 1, needed: true },
  salinityGpl: { to: 'salinityGpl', times: 1, needed: true },
  cystsGpl: { to: 'cystsGpl', times: 1, needed: true },
  saltSpoonG: { to: 'saltSpoonG', times: 1, needed: false },
  cystSpoonG: { to: 'cystSpoonG', times: 1, needed: false },
  sodaSpoonG: { to: 'sodaSpoonG', times: 1, needed: false },
  purity: { to: 'saltPurity', times: 0.01, needed: false },
  moisture: { to: 'saltMoisture', times: 0.01, needed: false },
}

/** The wish as numbers, or what is wrong with which field. An own spoon that is wrong leaves the rest as it is. */
export function readWish(text: WishText): { input: RecipeInput | null; wrong: ReadonlyMap<string, string> } {
  const wrong = new Map<string, string>()
  const numbers: Partial<Record<keyof typeof RECIPE_LIMITS, number>> = {}
  let input: RecipeInput | null = null
  for (const [name, { to, times, needed }] of Object.entries(FIELDS)) {
    const typed = text[name as NumberField]
    if (typed.trim() === '' && !needed) continue
    const number = readNumber(typed)
    const limits: Limits = RECIPE_LIMITS[to]
    if (number === null || !fits(number * times, limits))
      wrong.set(name, `Write a number ${limitsText(scaled(limits, times))}.`)
    else numbers[to] = number * times
  }
  if (numbers.litres !== undefined && !wrong.has('salinityGpl') && !wrong.has('cystsGpl'))
    input = { ...numbers, litres: numbers.litres, buffer: text.buffer, waterKind: text.waterKind }
  return { input, wrong }
}

const fits = (value: number, { above, from, to }: Limits): boolean =>
  value <= to && (above === undefined ? value >= (from ?? -Infinity) : value > above)

const scaled = ({ above, from, to }: Limits, times: number): Limits => ({
  ...(above === undefined ? {} : { above: above / times }),
  ...(from === undefined ? {} : { from: from / times }),
  to: to / times,
})

/** One tap on a stepper: to the next whole multiple of the step in that direction, within the limits. */
export function stepped(
  typed: string,
  direction: 1 | -1,
  field: 'litres' | 'salinityGpl' | 'cystsGpl',
): string {
  const now = readNumber(typed) ?? 0
  const limits: Limits = RECIPE_LIMITS[field]
  const step = stepAt(field, now, direction)
  // A hair's breadth, or 0.3 / 0.1 would be counted as two steps.
  const steps = now / step + direction * 1e-6
  const next = (direction > 0 ? Math.floor(steps) + 1 : Math.ceil(steps) - 1) * step
  const least = limits.above === undefined ? (limits.from ?? 0) : step
  return String(Number(Math.min(limits.to, Math.max(least, next)).toFixed(2)))
}

function stepAt(field: 'litres' | 'salinityGpl' | 'cystsGpl', now: number, direction: 1 | -1): number {
  if (field === 'salinityGpl') return 1
  if (field === 'cystsGpl') return 0.5
  const at = direction > 0 ? now : now - 1e-6
  return at < 1 ? 0.1 : at < 5 ? 0.5 : 1
}
