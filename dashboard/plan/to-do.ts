import type { Plan } from '../../broker/web/api/plan.ts'
import { ALARM_WORD } from '../words/alarm.ts'
import { next, type Zone } from '../words/time.ts'
import {
  dose,
  feedWords,
  type Harvest,
  mealFrom,
  type Meal,
  type Names,
  pastBestWords,
  ofTheEnd,
  perGram,
  roundNauplii,
  type Start,
  uncountedWords,
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
export function toDos(plan: Plan, names: Names, zoned: Zoned): ToDo[] {
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
      act: 'harvest' as const,
    })),
  ].map((harvest): ToDo => ({
    key: `harvest ${harvest.key}`,
    // Its alarm stands now, whenever it would have been harvested.
    atMs: harvest.act === 'see-to' ? Math.min(zoned.nowMs, Date.parse(harvest.at)) : Date.parse(harvest.at),
    kind: 'harvest',
    ...harvestWords(harvest, names, {
      ...aboutVessel(plan, harvest.vesselId, Date.parse(harvest.at), zoned),
      helps: helpedBy(plan, harvest.key),
    }),
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
    words: feedWords(meal, plan, names),
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

export interface Zoned {
  readonly nowMs: number
  readonly zone: Zone
}
interface AboutVessel {
  /** The word of an alarm that stands and may cost its batch; empty where none does. */
  readonly alarm: string
  /** When the vessel is needed, where that is within hours. */
  readonly needed: string
  /** So many feedings that lack food could be given from it, later. */
  readonly helps: number
}

const helpedBy = ({ risks }: Plan, sourceId: string): number =>
  risks.filter(
    ({ lacking, remedy }) => lacking > 0 && remedy.kind === 'feed-later' && remedy.sourceId === sourceId,
  ).length

/** A vessel is needed once a start in it follows within so long, ms. Own choice. */
const NEEDED_WITHIN_MS = 12 * 3_600_000

function aboutVessel(
  plan: Plan,
  vesselId: string,
  atMs: number,
  { nowMs, zone }: Zoned,
): Omit<AboutVessel, 'helps'> {
  const rule = plan.running.find(each => each.vesselId === vesselId)?.danger?.rule
  const starts = plan.starts
    .flatMap(each => (each.vesselId === vesselId ? [Date.parse(each.at)] : []))
    .filter(startMs => startMs >= atMs && startMs - atMs <= NEEDED_WITHIN_MS)
  const startMs = Math.min(...starts)
  return {
    alarm: rule ? ALARM_WORD[rule] : '',
    needed: starts.length === 0 ? '' : `; the vessel is needed ${next(startMs, atMs, nowMs, zone)}`,
  }
}

/** So few to be fed are told as none; what is to be done with a harvest the broker says. */
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
    uncounted,
    used,
    late,
    pastBest,
    act,
  }: Pick<Harvest, 'vesselId' | 'nauplii' | 'inTheEnd' | 'uncounted' | 'used' | 'late' | 'act'> & {
    readonly pastBest?: Harvest['pastBest']
  },
  names: Names,
  { alarm, needed, helps }: AboutVessel,
): Pick<ToDo, 'words' | 'detail'> {
  const vessel = names.vessel(vesselId)
  if (act === 'see-to') {
    const hangs =
      nauplii < NOTHING
        ? 'As it is now nothing is expected of the batch; that changes once its water is right'
        : `About ${roundNauplii(nauplii)} nauplii hang on it${used < NOTHING ? '; no feeding needs them' : ''}`
    return { words: `See to ${vessel} first`, detail: `Its alarm ${alarm} stands. ${hangs}` }
  }
  if (act === 'empty') return { words: `Empty ${vessel}`, detail: `Nothing more is expected of it${needed}` }
  const later = helps === 1 ? 'a feeding that lacks food' : `the ${helps} feedings that lack food`
  const none = used < NOTHING ? '; no feeding needs them' : ''
  const spare = helps > 0 ? `; ${later} can be given from it then, late` : none
  const past = pastBestWords(pastBest)
  const after = late ? '; its window falls into your night' : ''
  const detail = `About ${roundNauplii(nauplii)} nauplii${ofTheEnd(nauplii, inTheEnd)}${uncountedWords(uncounted)}${spare}${after}${past === '' ? '' : `; ${past}`}`
  return { words: `Harvest ${vessel}`, detail }
}
