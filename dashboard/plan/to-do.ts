import type { Plan } from '../../broker/web/api/plan.ts'
import {
  dose,
  fedWords,
  type Harvest,
  mealFrom,
  type Meal,
  type Names,
  pastBestWords,
  ofTheEnd,
  perGram,
  roundNauplii,
  type Start,
} from './words.ts'

/** One thing to be done next. */
export interface ToDo {
  readonly key: string
  readonly atMs: number
  readonly kind: 'start' | 'harvest' | 'feed'
  readonly words: string
  readonly detail: string
  readonly start: Start | null
  /** The feeding to be given. */
  readonly meal: Meal | null
  readonly lacks: boolean
  readonly night: boolean
}

/** What is to be done from now on, in the order of time; feedings at one moment stand together. */
export function toDos(plan: Plan, names: Names): ToDo[] {
  const gives = new Map(plan.lots?.map(({ id, naupliiPerG }) => [id, naupliiPerG]))
  const starts = plan.starts.map((start): ToDo => ({
    key: `start ${start.id}`,
    atMs: Date.parse(start.at),
    kind: 'start',
    words: `Start ${dose(start.cystsG)}${start.lot === null ? '' : ` of ${start.lot}`} in ${names.vessel(start.vesselId)}`,
    detail: startDetail(start, gives.get(start.lot ?? '')),
    start,
    meal: null,
    lacks: false,
    night: start.nightStart,
  }))
  const harvests = [
    ...plan.harvests.map(harvest => ({ ...harvest, key: harvest.batchId, at: harvest.first })),
    ...plan.starts.map(({ id, vesselId, harvest, nauplii, nightHarvest, pastBest }) => ({
      key: id,
      vesselId,
      at: harvest,
      nauplii,
      used: nauplii,
      night: nightHarvest,
      late: false,
      pastBest,
    })),
  ].map((harvest): ToDo => ({
    key: `harvest ${harvest.key}`,
    atMs: Date.parse(harvest.at),
    kind: 'harvest',
    ...harvestWords(harvest, names),
    start: null,
    meal: null,
    lacks: false,
    night: harvest.night,
  }))
  // What is late stands among what was not ticked off, with what can still be done about it.
  const late = new Set(plan.open.map(({ id }) => id))
  const coming = plan.meals.filter(({ id }) => !late.has(id))
  const meals = coming.map((meal): ToDo => ({
    key: `feed ${meal.id}`,
    atMs: Date.parse(meal.at),
    kind: 'feed',
    words: `Feed ${names.cohort(meal.cohortId)}: ${fedWords(meal.nauplii)} nauplii`,
    detail: mealFrom(meal, names),
    start: null,
    meal,
    lacks: meal.lacking > 0,
    night: false,
  }))
  const order = { harvest: 0, feed: 1, start: 2 }
  return [...starts, ...harvests, ...meals].sort((a, b) => a.atMs - b.atMs || order[a.kind] - order[b.kind])
}

/** So many things to be done next are listed; the table has them all. */
const NEXT = 6

/** The next things to do; the next start among them, however far it is. */
export function nextOf(all: readonly ToDo[]): readonly ToDo[] {
  const next = all.slice(0, NEXT)
  const start = next.some(({ kind }) => kind === 'start')
    ? undefined
    : all.find(({ kind }) => kind === 'start')
  return start ? [...next, start] : next
}

/** What gives next to nothing is not harvested but emptied. */
const NOTHING = 50

/** What is out at the harvest, and beside it what the lot's own card says of a gram. */
function startDetail({ nauplii, cystsG }: Start, inTheEndPerG: number | undefined): string {
  const each = perGram(nauplii / cystsG)
  const end = inTheEndPerG === undefined ? '' : perGram(inTheEndPerG)
  const of = end === '' || end === each ? '' : ` out by then, of ${end} in the end`
  return `Harvest about ${roundNauplii(nauplii)} nauplii: ${each} from each gram${of}`
}

function harvestWords(
  {
    vesselId,
    nauplii,
    inTheEnd,
    used,
    late,
    pastBest,
  }: Pick<Harvest, 'vesselId' | 'nauplii' | 'inTheEnd' | 'used' | 'late'> & {
    readonly pastBest?: Harvest['pastBest']
  },
  names: Names,
): Pick<ToDo, 'words' | 'detail'> {
  const vessel = names.vessel(vesselId)
  if (nauplii < NOTHING)
    return { words: `Empty ${vessel}`, detail: 'Nothing more is expected of it, and the vessel is needed' }
  const spare = used < NOTHING ? '; no feeding needs them' : ''
  const past = pastBestWords(pastBest)
  const after = late ? '; its window falls into your night' : ''
  const detail = `About ${roundNauplii(nauplii)} nauplii${ofTheEnd(nauplii, inTheEnd)}${spare}${after}${past === '' ? '' : `; ${past}`}`
  return { words: `Harvest ${vessel}`, detail }
}
