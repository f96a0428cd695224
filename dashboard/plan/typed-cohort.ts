import type { Cohort, CohortFields } from '../../broker/web/api/plan.ts'
import { timeOfDay, type Zone } from '../words/time.ts'

const DAY_MS = 86_400_000

/** What stands in the form, as it was typed. */
export interface Typed {
  readonly name: string
  readonly species: string
  readonly fry: string
  readonly ageDays: string
  readonly perFry: string
  readonly laterDay: string
  readonly laterPerFry: string
  readonly times: string
  readonly food: 'instar-1' | 'up-to'
  readonly hours: string
}

/** How a group stands in the form; `null` for a new one. */
export function typedOf(cohort: Cohort | null, nowMs: number, clock: Pick<Zone, 'locale'>): Typed {
  if (!cohort) {
    return {
      name: '',
      species: '',
      fry: '',
      ageDays: '0',
      perFry: '',
      laterDay: '',
      laterPerFry: '',
      times: timesWords(LIKE, clock),
      food: 'up-to',
      hours: '24',
    }
  }
  const age = Math.max(0, Math.floor((nowMs - Date.parse(cohort.born)) / DAY_MS))
  const now = cohort.ration.findLast(({ fromDay }) => fromDay <= age) ?? cohort.ration[0]
  const later = cohort.ration.find(({ fromDay }) => fromDay > age)
  return {
    name: cohort.name,
    species: cohort.species,
    fry: String(cohort.fry),
    ageDays: String(age),
    perFry: String(now?.naupliiPerFry ?? ''),
    laterDay: later ? String(later.fromDay) : '',
    laterPerFry: later ? String(later.naupliiPerFry) : '',
    times: timesWords(cohort.times, clock),
    food: cohort.food.kind,
    hours: cohort.food.kind === 'up-to' ? String(cohort.food.hours) : '24',
  }
}

/** Times as an example, and what a new group begins with. */
export const LIKE: readonly string[] = ['08:00', '18:00']

/** Times of day as the person writes them. */
export const timesWords = (times: readonly string[], clock: Pick<Zone, 'locale'>): string =>
  times.map(time => timeOfDay(time, clock)).join(', ')

type Read = { readonly fields: CohortFields } | { readonly wrong: ReadonlyMap<string, string> }

/** What the form says, as it is sent; or what is wrong, field by field. */
export function readCohort(
  typed: Typed,
  nowMs: number,
  readNumber: (text: string) => number | null,
  clock: Pick<Zone, 'locale'>,
): Read {
  const wrong = new Map<string, string>()
  const number = (name: keyof Typed, least: number, most: number, words: string): number => {
    const value = readNumber(typed[name])
    if (value !== null && value >= least && value <= most) return value
    wrong.set(name, words)
    return least
  }
  if (typed.name.trim() === '') wrong.set('name', 'Give them a name')
  const fry = number('fry', 1, 1_000_000, 'Write how many there are')
  const ageDays = number('ageDays', 0, 365, 'Write days, 0 for today')
  const perFry = number('perFry', 0.01, 100_000, 'Write how many nauplii one fry eats in a day')
  const ration = [{ fromDay: 0, naupliiPerFry: perFry }]
  if (typed.laterDay.trim() !== '') {
    const fromDay = number('laterDay', Math.floor(ageDays) + 1, 365, 'Write an age after today')
    const naupliiPerFry = number('laterPerFry', 0, 100_000, 'Write how many nauplii one fry eats then')
    ration.push({ fromDay: Math.round(fromDay), naupliiPerFry })
  }
  const times = timesOf(typed.times)
  if (times === null) wrong.set('times', `Write times like ${timesWords(LIKE, clock)}`)
  const hours = typed.food === 'up-to' ? number('hours', 1, 96, 'Write hours, up to 96') : 0
  if (wrong.size > 0) return { wrong }
  return {
    fields: {
      name: typed.name.trim(),
      species: typed.species.trim(),
      fry: Math.round(fry),
      born: new Date(nowMs - Math.floor(ageDays) * DAY_MS).toISOString(),
      ration,
      times: times ?? [],
      food: typed.food === 'instar-1' ? { kind: 'instar-1' } : { kind: 'up-to', hours },
      ends: null,
    },
  }
}

/** `8, 18:30` and `8 AM, 6:30 PM` as `08:00` and `18:30`, in order; `null` where one of them is no time. */
export function timesOf(text: string): string[] | null {
  const joined = text.replace(/\s*([ap])\.?m\b\.?/gi, '$1m')
  const parts = joined.split(/[,;\s]+/).filter(part => part !== '' && part.toLowerCase() !== 'and')
  const times = parts.map(part => {
    const match = /^(\d{1,2})(?:[:.](\d{2}))?([ap]m)?$/i.exec(part)
    const half = match?.[3]?.toLowerCase()
    const said = Number(match?.[1])
    const minute = Number(match?.[2] ?? 0)
    if (!match || said > 23 || minute > 59 || (half && (said < 1 || said > 12))) return null
    const hour = half ? (said % 12) + (half === 'pm' ? 12 : 0) : said
    return `${String(hour).padStart(2, '0')}:${String(minute).padStart(2, '0')}`
  })
  if (times.length === 0 || times.includes(null)) return null
  return [...new Set(times as string[])].sort()
}
