import { ApiError } from '../state/api.ts'
import { readNumber } from '../forms/form.ts'
import { sharedOut } from './shared-out.ts'
import { dueOf, exactly, type Meal, type Names } from './words.ts'

/** A feeding of the plan that can be ticked off. */
export type Feedable = Pick<Meal, 'id' | 'cohortId' | 'at' | 'nauplii'> & Partial<Pick<Meal, 'servings'>>

export const OTHER = 'other'

/** What a feeding can come from. */
export interface Source {
  /** `held` or `batch`, and the id. */
  readonly value: string
  readonly text: string
  /** After "from". */
  readonly brief: string
  /** So many there are; `null` where nobody counted. */
  readonly most: number | null
}
/** One of several sources, and what the plan takes from it. */
export interface Part extends Source {
  readonly planned: number
}

export interface Taken {
  readonly from: string
  readonly fromId: string | null
  readonly nauplii: number | null
}

export const valueOf = ({ source, sourceId }: Meal['servings'][number]): string =>
  source === 'running' ? `batch ${sourceId}` : `${source} ${sourceId}`

export function takenFrom(value: string, nauplii: number | null): Taken {
  const [from = OTHER, fromId = null] = value.split(' ')
  return { from, fromId, nauplii }
}

type Serving = Meal['servings'][number]

/** Where the plan has it from, if it is from several: those that are there. */
export function partsOf({ servings = [] }: Pick<Feedable, 'servings'>, sources: readonly Source[]): Part[] {
  if (servings.length < 2) return []
  return servings.flatMap(serving => {
    const source = sources.find(({ value }) => value === valueOf(serving))
    return source ? [{ ...source, planned: serving.nauplii }] : []
  })
}

/** What the plan takes from elsewhere and cannot be given: a batch that is still to be started, or one that is gone. */
export function missingOf(
  { servings = [] }: Pick<Feedable, 'servings'>,
  sources: readonly Source[],
): readonly Serving[] {
  return servings.filter(serving => !sources.some(({ value }) => value === valueOf(serving)))
}

/** `Not there yet: 500 of Right cone, which is still to be started.` */
export function missingWords(missing: readonly Serving[], names: Pick<Names, 'source'>): string {
  if (missing.length === 0) return ''
  const each = missing.map(({ source, sourceId, nauplii }) => {
    const why = source === 'planned' ? 'which is still to be started' : 'which is gone'
    return `${exactly(Math.round(nauplii))} from ${names.source(source, sourceId)}, ${why}`
  })
  return `Of what is planned is not there: ${each.join('; ')}.`
}

/** What is fed, and no more than the plan has for it where that comes from several sources. */
export function toFeed({ nauplii }: Pick<Feedable, 'nauplii'>, parts: readonly Part[]): number {
  const there = parts.reduce((sum, { planned }) => sum + planned, 0)
  const due = dueOf(nauplii)
  return parts.length > 0 && there < due ? Math.floor(Math.min(nauplii, there)) : due
}

/**
 * What the form begins with, from the source that is chosen: no more than is left there, and no more of it than the plan takes for this
 * feeding, as the rest may be for another.
 */
export function proposed(
  meal: Feedable,
  value: string,
  parts: readonly Part[],
  sources: readonly Source[],
): number {
  const due = toFeed(meal, parts)
  if (parts.length > 0 && !sources.some(source => source.value === value)) return due
  const planned = (meal.servings ?? []).find(serving => valueOf(serving) === value)?.nauplii ?? Infinity
  const most = sources.find(source => source.value === value)?.most ?? Infinity
  const there = Math.min(planned, most)
  return there < dueOf(meal.nauplii) ? Math.floor(there) : dueOf(meal.nauplii)
}

/** More is typed than is left where it is taken from: what is left, and that the rest is from elsewhere; empty where there is enough. */
export function beyondWords(all: readonly Taken[], sources: readonly Source[]): string {
  const each = together(all).flatMap(({ from, fromId, nauplii }) => {
    const source = sources.find(({ value }) => value === `${from} ${fromId}`)
    const most = source?.most ?? null
    if (!source || most === null || nauplii === null || nauplii <= most) return []
    const rest = exactly(Math.ceil(nauplii - most))
    return [
      `Only ${exactly(Math.floor(most))} are left in ${source.brief}: where are the other ${rest} from? Add another source, or write fewer.`,
    ]
  })
  return each.join(' ')
}

/** What is written down of each; those of which nothing is taken are left out. */
export function takenFromParts(nauplii: number | null, parts: readonly Part[]): { parts: Taken[] } | Taken {
  if (nauplii === null) return { parts: parts.map(({ value }) => takenFrom(value, null)) }
  // Nothing was given: nothing is taken from anywhere.
  if (nauplii === 0) return takenFrom(OTHER, 0)
  const shares = sharedOut(nauplii, parts)
  return {
    parts: parts.map(({ value }, at) => takenFrom(value, shares[at] ?? 0)).filter(each => each.nauplii !== 0),
  }
}

/** Together: a source that was named twice is one, and none of which nothing is taken. */
export function together(all: readonly Taken[]): readonly Taken[] {
  const by = new Map<string, Taken>()
  for (const each of all) {
    const key = `${each.from} ${each.fromId}`
    const before = by.get(key)
    const sum = !before
      ? each.nauplii
      : before.nauplii === null || each.nauplii === null
        ? null
        : before.nauplii + each.nauplii
    by.set(key, { ...each, nauplii: sum })
  }
  const some = [...by.values()].filter(({ nauplii }) => nauplii !== 0)
  return some.length > 0 ? some : [takenFrom(OTHER, 0)]
}

/** All of them; `null` where somebody did not count one. */
export const sumTaken = (all: readonly Pick<Taken, 'nauplii'>[]): number | null =>
  all.reduce<number | null>(
    (sum, { nauplii }) => (sum === null || nauplii === null ? null : sum + nauplii),
    0,
  )

/** What comes from where, of what stands in the field: `2,900 from the refrigerator (Left cone) and 8,100 from Right cone.` */
export function partsWords(typed: string, parts: readonly Part[]): string {
  if (typed.trim() === '') {
    const all = parts.map(({ value, brief }) =>
      value.startsWith('held ') ? `all that is left in ${brief}` : `some from ${brief}, uncounted`,
    )
    return `Taken: ${all.join('; ')}.`
  }
  const nauplii = readNumber(typed)
  if (nauplii === null || nauplii <= 0) return ''
  const shares = sharedOut(nauplii, parts)
  const each = parts.flatMap(({ brief }, at) => (shares[at] ? [`${exactly(shares[at])} from ${brief}`] : []))
  return `${each.join(' and ')}.`
}

/** A refusal of one of the parts that were sent, beside the field that the form has for it, with its source by name. */
export function besideItsField(error: ApiError, sent: readonly Taken[], parts: readonly Source[]): ApiError {
  const fields = [...error.fields].map(([field, words]): [string, string] => {
    if (!field.startsWith('parts')) return [field, words]
    const [, at, of] = field.split('.')
    const part = sent[Number(at)]
    const source = parts.find(({ value }) => value === `${part?.from} ${part?.fromId}`)?.brief ?? ''
    const name = source === '' ? '' : `${source.charAt(0).toUpperCase()}${source.slice(1)}: `
    return [of === 'nauplii' || of === 'share' ? 'nauplii' : 'from', `${name}${words}`]
  })
  return new ApiError(error.status, error.message, new Map(fields))
}
