import { ageWords, naupliiAge } from '../../broker/hatch/holding/nauplii-age.ts'
import type { Plan } from '../../broker/web/api/plan.ts'
import { cystSpoons, litresText, scaleGrams } from '../words/amounts.ts'
import { ALARM_WORD } from '../words/alarm.ts'
import { givesBecause } from '../words/lot.ts'
import { moment, next, type Zone } from '../words/time.ts'

export type Meal = Plan['meals'][number]
export type Start = Plan['starts'][number]
export type Harvest = Plan['harvests'][number]
export type Risk = Plan['risks'][number]
type Remedy = Risk['remedy']

/** To two figures: nobody counts nauplii closer. */
export const roundNauplii = (nauplii: number): string =>
  Number(nauplii.toPrecision(2)).toLocaleString('en-US')

/**
 * What a feeding is made of, to a step that all its parts share, so that they add up as they stand there: what is fed and what is spare
 * make the whole, and so do what is taken from where and what is lacking.
 */
export function mealSums({
  nauplii,
  wanted,
  servings,
  lacking,
}: Pick<Meal, 'nauplii' | 'wanted' | 'servings' | 'lacking'>): {
  readonly fed: number
  readonly whole: number
  readonly parts: readonly number[]
  readonly lacking: number
} {
  const step = 10 ** Math.max(0, Math.floor(Math.log10(Math.max(wanted, 1))) - 2)
  const steps = (value: number) => Math.round(value / step)
  const whole = steps(wanted)
  const all = [...servings.map(each => each.nauplii), lacking]
  const told = all.map(steps)
  // What rounding makes too much or too little goes to the largest part, which it changes least.
  const largest = all.indexOf(Math.max(...all))
  told[largest] = (told[largest] ?? 0) + whole - told.reduce((sum, each) => sum + each, 0)
  const [lacks = 0, ...parts] = [told.at(-1), ...told.slice(0, -1)]
  return {
    fed: Math.min(steps(nauplii), whole) * step,
    whole: whole * step,
    parts: parts.map(each => each * step),
    lacking: lacks * step,
  }
}

export const exactly = (count: number): string => count.toLocaleString('en-US')
/** What is fed at a feeding, without the spare. */
export const fedWords = (nauplii: number): string => exactly(Number(nauplii.toPrecision(3)))
/** What a feeding asks for: the same number wherever it stands, in words and in the field that ticks it off. */
export const dueOf = (nauplii: number): number => Math.round(Number(nauplii.toPrecision(4)))
export const dueWords = (nauplii: number): string => exactly(dueOf(nauplii))

/** `Feed Spawn 12: 18,750 nauplii`, and of one that was given in part `… 8,750 nauplii still to give`. */
export function feedWords(
  { id, cohortId, nauplii }: Pick<Meal, 'id' | 'cohortId' | 'nauplii'>,
  { fed }: Pick<Plan, 'fed'>,
  names: Pick<Names, 'cohort'>,
): string {
  const isRest = fed.some(each => each.mealId === id && each.withdrawnAt === null)
  return `Feed ${names.cohort(cohortId)}: ${dueWords(nauplii)} nauplii${isRest ? ' still to give' : ''}`
}

/** `4.1 g (1½ teaspoons)` */
export const dose = (cystsG: number): string => `${scaleGrams(cystsG)} g (${cystSpoons(cystsG)})`

const plural = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`

/** What stands above it all, in one or two sentences. */
export function summary(plan: Plan, nowMs: number, zone: Zone): string {
  if (plan.cohorts.length === 0)
    return 'Say which fry there are, and what to start when is worked out from that.'
  if (plan.vessels.length === 0) return 'There is no vessel yet to hatch in. Add one on the page of the room.'
  if (plan.meals.length === 0) return 'Nobody is to be fed in this time.'
  const lacking = plan.meals.filter(meal => meal.lacking > 0)
  const until = moment(Date.parse(plan.until), nowMs, zone)
  const met =
    lacking.length === 0
      ? `All ${plural(plan.meals.length, 'feeding')} until ${until} are met${hangsOnUncounted(plan) ? ', if a lot that was never counted gives what is expected of it' : ''}`
      : `${plural(lacking.length, 'feeding')} of ${plan.meals.length} until ${until} ${lacking.length === 1 ? 'lacks' : 'lack'} food`
  const nights = plan.nightStarts + plan.nightHarvests
  const work =
    plan.starts.length === 0
      ? 'nothing has to be started'
      : `${plural(plan.starts.length, 'batch', 'batches')} with ${scaleGrams(plan.cystsG)} g of cysts, ${nights === 0 ? 'none of the work at night' : `work in the night ${plural(nights, 'time')}`}`
  return `${met}: ${work}.`
}

/** Why more is hatched than is fed. */
export function spareWords({ preferences: { spare }, starts }: Plan): string {
  if (spare === 0 || starts.length === 0) return ''
  return `${Math.round(100 * spare)} % more nauplii are hatched than the fry eat, as a spare: no count is exact. It is set under How you work.`
}

/** How sure it is that no plan would do with less. */
export function proofWords({ proof, cystsG }: Plan): string {
  if (cystsG === 0) return ''
  if (proof.optimal) return `No plan that starts at full and half hours does better.`
  const share = Math.ceil(proof.gap * 1000) / 10
  return share === 0
    ? 'No plan needs fewer cysts.'
    : `At most ${share} % more cysts than the least possible, ${scaleGrams(proof.leastG)} g.`
}

type LotGives = NonNullable<Plan['lots']>[number]

/** Where the plan's figure of a gram comes from. */
export function lotGivesWords({ name, naupliiPerG, counted }: LotGives): string {
  const lot = name === '' ? 'Any cysts' : name
  return `${lot}: ${perGram(naupliiPerG)} nauplii from a gram in the end. ${givesBecause(counted)} Of these the plan counts what is out at the harvest, a little less.`
}

/** A gram's figure as the lot's own card has it: to three digits. */
export const perGram = (nauplii: number): string => fedWords(nauplii)

/** ` out by then, of 720,000 in the end`: why a harvest is told smaller than what its vessel gives; empty where the two are one. */
export function ofTheEnd(nauplii: number, inTheEnd: number | undefined): string {
  if (inTheEnd === undefined || roundNauplii(inTheEnd) === roundNauplii(nauplii)) return ''
  return ` out by then, of ${roundNauplii(inTheEnd)} in the end`
}

/** ` (420,000 to 920,000; this lot was never counted)`; empty where it was. */
export const uncountedWords = (range: Harvest['uncounted']): string =>
  range ? ` (${roundNauplii(range.least)} to ${roundNauplii(range.most)}; this lot was never counted)` : ''

/** Whether a feeding is met from a batch of a lot that nobody ever counted. */
export function hangsOnUncounted({ meals, harvests, starts, lots = [] }: Plan): boolean {
  const unknown = new Set([
    ...harvests.filter(({ uncounted }) => uncounted !== undefined).map(({ batchId }) => batchId),
    ...starts
      .filter(start => lots.some(({ id, counted }) => id === (start.lot ?? '') && counted === null))
      .map(({ id }) => id),
  ])
  return meals.some(({ servings }) => servings.some(({ sourceId }) => unknown.has(sourceId)))
}

export interface Names {
  readonly vessel: (id: string) => string
  readonly cohort: (id: string) => string
  /** Of a running batch, a planned start or held food. */
  readonly source: (kind: string, id: string) => string
}

export function namesOf(plan: Plan): Names {
  const vessels = new Map(plan.vessels.map(({ id, name }) => [id, name]))
  const cohorts = new Map(plan.cohorts.map(({ id, name }) => [id, name]))
  const inVessel = new Map([
    ...plan.starts.map(({ id, vesselId }) => [id, vesselId] as const),
    ...plan.running.map(({ batchId, vesselId }) => [batchId, vesselId] as const),
  ])
  const vessel = (id: string) => vessels.get(id) ?? 'a vessel that is gone'
  const { sources = {} } = plan
  return {
    vessel,
    cohort: id => cohorts.get(id) ?? 'fry',
    source: (kind, id) =>
      kind === 'held'
        ? `the refrigerator${sources[id] === undefined ? '' : `, of ${sources[id]}`}`
        : (sources[id] ?? vessel(inVessel.get(id) ?? '')),
  }
}

/**
 * `from Left cone (4 h old, food value 93 %)`; where there is a spare, or it is more than one, with amounts that add up: `Of 11,000: 2,900 from … and
 * 8,100 from …; 1,000 to spare`.
 */
export function mealFrom(meal: Meal, names: Names): string {
  const { fed, whole, parts, lacking } = mealSums(meal)
  const several = parts.length > 1 || (parts.length > 0 && lacking > 0)
  const from = meal.servings
    .map((serving, at) => {
      const from = names.source(serving.source, serving.sourceId)
      return `${several ? `${exactly(parts[at] ?? 0)} ` : ''}from ${from} (${worthWords(serving)})`
    })
    .join(' and ')
  const spare = whole - fed
  const lacks = lacking > 0 ? `${exactly(lacking)} lacking` : ''
  const rest = lacks !== '' ? lacks : spare > 0 ? `${exactly(spare)} of them to spare` : ''
  const amounts = [from, rest].filter(part => part !== '').join('; ')
  return several || spare > 0 ? `${exactly(whole)}${spare > 0 ? ' with the spare' : ''}: ${amounts}` : amounts
}

/** `14 h old, 9 h of them in the cold, food value 88 %`. */
function worthWords({ ageH, coldH, energyLeft }: Meal['servings'][number]): string {
  const value = energyLeft === undefined ? '' : `, food value ${Math.round(100 * energyLeft)} %`
  return `${ageWords(naupliiAge(ageH, coldH))}${value}`
}

/** What is lost by a harvest after the best moment; empty where it is none or not known. */
export function pastBestWords(past: Start['pastBest']): string {
  if (!past) return ''
  const percent = Math.round(100 * past.lost)
  const lost = percent < 1 ? 'hardly any of its food value' : `about ${percent} % of its food value`
  return `${Math.round(past.hours)} h past its best, which costs ${lost}`
}

/** Where a feeding that was given came from: ` from Left cone`, or each source with what came from it; empty where nobody said. */
export function givenFrom({ parts }: Pick<Plan['fed'][number], 'parts'>, names: Names): string {
  const from = parts.map(({ from: kind, fromId, nauplii }) => {
    const many = parts.length > 1 && nauplii !== null ? `${exactly(nauplii)} ` : ''
    return `${many}from ${kind === 'other' ? 'something else' : names.source(kind, fromId ?? '')}`
  })
  if (parts.length === 1) return parts[0]?.from === 'other' ? '' : ` ${from.join('')}`
  return `: ${from.join(' and ')}`
}

/**
 * What is to be done about a feeding that nobody ticked off: what there is for it now, or, once it would come on top of the next one, that
 * it is over and where its food goes.
 */
export function lateWords(
  { cohortId, at }: Pick<Meal, 'cohortId' | 'at'>,
  planned: Meal | undefined,
  plan: Plan,
  names: Names,
  nowMs: number,
  zone: Zone,
): string {
  if (planned && planned.servings.length > 0) {
    const part = planned.lacking > 0 ? 'Feed now what there is' : 'Feed it now, late'
    return `${part}: ${mealFrom(planned, names)}. Or write down that it was given, or not.`
  }
  if (planned) return 'There is nothing to feed now. Write down whether it was given.'
  const coming = plan.meals.find(each => each.cohortId === cohortId && Date.parse(each.at) > Date.parse(at))
  const next = coming ? `the next one is ${moment(Date.parse(coming.at), nowMs, zone)}` : 'its time is over'
  return `Too late for it now: ${next}, as planned, and no larger for it. What was meant for this one is planned for later ones. Write down whether it was given.`
}

/** So few are not worth a sentence: a share of what was put in the cold. Own choice. */
const LEFT_OVER = 0.05

/** What of the refrigerator no feeding takes, and until when it keeps; empty where all of it is fed. */
export function heldWords(
  { held = [], sources = {} }: Pick<Plan, 'held' | 'sources'>,
  nowMs: number,
  zone: Zone,
): string {
  const over = held
    .filter(({ nauplii, used }) => nauplii - used > LEFT_OVER * nauplii)
    .map(({ id, nauplii, used, until }) => {
      const from = sources[id] === undefined ? '' : `of ${sources[id]} `
      const keeps = until === null ? '' : `, good until ${moment(Date.parse(until), nowMs, zone)}`
      return `${from}${fedWords(nauplii - used)} of ${fedWords(nauplii)}${keeps}`
    })
  if (over.length === 0) return ''
  return `No feeding takes these nauplii in the refrigerator: ${over.join('; ')}. Feed them beside the plan, or throw them away then.`
}

const WHY: Readonly<Record<Risk['kind'], string>> = {
  'too-soon': 'nothing that is started now is ready by then',
  'short-of-cysts': 'the cysts run out',
  'no-vessel': 'no vessel is free and large enough in time',
  'no-outlook': 'there is no vessel or lot that would hatch in time',
  'batch-late': 'the batch may not be ready by then',
  'in-danger': 'an alarm stands on it',
}

/** What is at risk, why, and what would help. */
export function riskWords(risk: Risk, plan: Plan, names: Names, nowMs: number, zone: Zone): string {
  const meals = plan.meals.filter(({ id }) => risk.meals.includes(id))
  const [first] = meals
  if (!first) return ''
  const when = moment(Date.parse(first.at), nowMs, zone)
  if (risk.kind === 'in-danger') return dangerWords(risk, meals, plan, names, nowMs, zone)
  const more = meals.length > 1 ? ` and ${plural(meals.length - 1, 'more feeding')}` : ''
  const lacks =
    risk.lacking > 0
      ? ` lacks ${roundNauplii(risk.lacking)} of ${roundNauplii(first.wanted)} nauplii`
      : ` is met from ${names.source('planned', risk.sourceId ?? '')}`
  const help = remedyWords(risk, names, Date.parse(first.at), nowMs, zone)
  return `${names.cohort(first.cohortId)} ${when}${more}${lacks}: ${WHY[risk.kind]}.${help === '' ? '' : ` ${help}`}`
}

/** A batch may be lost: what hangs on it, and what can be begun at once so that they are fed all the same. */
function dangerWords(
  { sourceId, remedy }: Risk,
  meals: readonly Meal[],
  plan: Plan,
  names: Names,
  nowMs: number,
  zone: Zone,
): string {
  const vessel = names.source('running', sourceId ?? '')
  const rule = plan.running.find(({ batchId }) => batchId === sourceId)?.danger?.rule
  const fry = [...new Set(meals.map(({ cohortId }) => names.cohort(cohortId)))].join(' and ')
  const first = moment(Date.parse(meals[0]?.at ?? ''), nowMs, zone)
  const hang = `${plural(meals.length, 'feeding')} of ${fry}, the first ${first}, ${meals.length === 1 ? 'hangs' : 'hang'} on ${vessel}`
  const alarm = rule ? `: its alarm ${ALARM_WORD[rule]} stands.` : ': its alarm stands.'
  return `${hang}${alarm} See to that first. ${spareWordsOf(remedy, meals.length, names, nowMs, zone)}`
}

function spareWordsOf(remedy: Remedy, feedings: number, names: Names, nowMs: number, zone: Zone): string {
  if (remedy.kind === 'harvest-now')
    return `What has hatched there is ready: harvest ${names.vessel(remedy.vesselId)} now, and it is safe.`
  if (remedy.kind === 'vessel-needed')
    return `${names.vessel(remedy.vesselId)} stands empty, but not for long enough for a spare batch: a start is planned in it ${moment(Date.parse(remedy.start), nowMs, zone)}.`
  if (remedy.kind === 'no-cysts')
    return 'A vessel stands empty, but what is left of the cysts, beside what is planned, is not enough for a spare batch.'
  if (remedy.kind !== 'start-spare')
    return 'No other vessel is free for a spare batch: the first that is emptied is the one for it.'
  const { vesselId, lot, grams, feedingsMet } = remedy
  const ready = moment(Date.parse(remedy.ready), nowMs, zone)
  const inTime =
    feedingsMet === feedings
      ? 'in time for all of it'
      : feedingsMet === 0
        ? 'too late for these, in time for those after them'
        : `in time for the last ${feedingsMet === 1 ? '' : `${feedingsMet} `}of them`
  return `Then start a spare in ${names.vessel(vesselId)}, ${dose(grams)}${lot === '' ? '' : ` of ${lot}`}: begun now it is ready ${ready}, ${inTime}.`
}

function remedyWords({ remedy }: Risk, names: Names, mealMs: number, nowMs: number, zone: Zone): string {
  switch (remedy.kind) {
    case 'more-cysts':
      return `${scaleGrams(remedy.grams)} g more${remedy.lot === '' ? '' : ` of lot ${remedy.lot}`} would do.`
    case 'older-food':
      return `${roundNauplii(remedy.nauplii)} from ${names.source(remedy.source, remedy.sourceId)} would be there, ${Math.round(remedy.ageH)} h old${remedy.source === 'held' ? ' without the hours in the cold' : ''}.`
    case 'feed-later':
      return `Feed at ${next(Date.parse(remedy.at), mealMs, nowMs, zone)} instead, from ${names.source('planned', remedy.sourceId)}.`
    case 'more-litres':
      // Rounded up: less would not do.
      return `A free vessel with ${litresText(Math.ceil(remedy.litres * 10 - 1e-6) / 10)} of water would do.`
    case 'start-spare':
    case 'harvest-now':
    case 'vessel-needed':
    case 'no-cysts':
    case 'none':
      return ''
  }
}

/** What is otherwise than in the plan before. */
export function changeWords(
  change: Plan['changes'][number],
  plan: Plan,
  names: Names,
  nowMs: number,
  zone: Zone,
): string {
  const atMs = Date.parse(change.at)
  const when = moment(atMs, nowMs, zone)
  const meal = plan.meals.find(({ id }) => id === change.meal)
  const fed = `${meal ? names.cohort(meal.cohortId) : 'A feeding'} ${when}`
  const vessel = names.vessel(change.vesselId ?? '')
  switch (change.kind) {
    case 'start-added':
      return `New: start ${vessel} ${when}.`
    case 'start-dropped':
      return `No longer: ${vessel} ${when}.`
    case 'start-moved':
    case 'harvest-moved': {
      const before = change.from === null ? '' : `, not ${next(Date.parse(change.from), atMs, nowMs, zone)}`
      return `Moved: ${change.kind === 'start-moved' ? 'start' : 'harvest'} ${vessel} ${when}${before}.`
    }
    case 'meal-lacks':
      return `${fed} now lacks food.`
    case 'meal-met':
      return `${fed} is met now.`
  }
}

export const CAUSE_WORDS: Readonly<Record<Plan['causes'][number], string>> = {
  first: 'the service was started',
  cohorts: 'the fry changed',
  preferences: 'you changed how you work',
  batches: 'a batch or a vessel changed',
  forecast: 'a forecast moved',
  alarms: 'an alarm came or went',
  fed: 'a feeding was ticked off',
  time: 'time went on',
}
