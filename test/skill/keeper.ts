import type { BatchEvidence, LotObservation } from '../../broker/hatch/lot/evidence.ts'
import { degHoursAt, type DevelopmentTrace } from '../../broker/hatch/development/development.ts'
import type { Random } from '../../sim/random.ts'
import { hiddenAt, type Played } from './played.ts'

const HOUR_MS = 3_600_000
const WAKES_H = 7
const SLEEPS_H = 23
/** What a drawn sample is off by, beyond chance, and what the weighed dose is off by: relative standard deviations. */
const MIXING_SD = 0.08
const DOSE_SD = 0.08
/** Six samples of a quarter of a millilitre. */
const SAMPLED_ML = 1.5

/** How one keeper works: drawn for each lot. */
export interface Keeper {
  readonly countsEmbryos: boolean
  readonly notesFirst: number
  readonly countsMidway: number
}

export function drawKeeper(random: Random): Keeper {
  return {
    countsEmbryos: random.uniform() < 0.6,
    notesFirst: 0.4 + 0.6 * random.uniform(),
    countsMidway: 0.6 * random.uniform(),
  }
}

/** What the keeper writes down of a batch: looks now and then while awake, made from the hidden truth. */
export function observe(
  played: Played,
  trace: DevelopmentTrace,
  keeper: Keeper,
  random: Random,
): BatchEvidence {
  const { scenario } = played.vessel
  const { litres, cystsGpl } = scenario
  const doseError = Math.exp(DOSE_SD * random.normal())
  const items: LotObservation[] = []
  const moment = (atMs: number) => ({ atMs, degH: degHoursAt(trace, atMs), degHSd: sdAt(trace, atMs) })

  // Which share a person takes for the first swimmers.
  const firstShare = 0.02 * Math.exp(0.6 * random.normal())
  const final = played.hidden.at(-1)?.nauplii ?? 0
  const looks = looksOf(played, random)
  const firstSeen = looks.find(atMs => hiddenAt(played, atMs).nauplii >= firstShare * final)
  if (firstSeen !== undefined && random.uniform() < keeper.notesFirst) {
    items.push({ kind: 'first-swimmers', ...moment(firstSeen) })
  }
  const count = (atMs: number, harvest: boolean, embryosToo: boolean) => {
    const { nauplii, umbrella, embryos } = hiddenAt(played, atMs)
    const cysts = played.lot.cystsPerG * cystsGpl * (SAMPLED_ML / 1000) * doseError
    const counted = (share: number) => poisson(cysts * share * Math.exp(MIXING_SD * random.normal()), random)
    items.push({
      kind: 'count',
      ...moment(atMs),
      nauplii: counted(nauplii),
      umbrella: embryosToo ? counted(umbrella) : null,
      embryos: embryosToo ? counted(embryos) : null,
      sampledMl: SAMPLED_ML,
      harvest,
    })
  }
  const midway = looks.find(atMs => {
    const share = hiddenAt(played, atMs).nauplii / final
    return share > 0.15 && share < 0.85
  })
  if (midway !== undefined && random.uniform() < keeper.countsMidway) count(midway, false, false)
  count(awake(played, played.bestMs + 2 * HOUR_MS * random.normal()), true, keeper.countsEmbryos)
  return { startedAtMs: played.startedAtMs, litres, cystsG: litres * cystsGpl, items }
}

/** A look every 1 to 3 h while awake. */
function looksOf(played: Played, random: Random): number[] {
  const endMs = played.startedAtMs + (played.hidden.at(-1)?.atH ?? 0) * HOUR_MS
  const looks: number[] = []
  for (let atMs = played.startedAtMs; atMs < endMs; atMs += HOUR_MS * (1 + 2 * random.uniform())) {
    if (isAwake(played, atMs)) looks.push(atMs)
    else atMs += HOUR_MS * ((WAKES_H - hourOfDay(played, atMs) + 24) % 24)
  }
  return looks
}

function hourOfDay({ vessel, startedAtMs }: Played, atMs: number): number {
  return (vessel.scenario.room.startHour + (atMs - startedAtMs) / HOUR_MS) % 24
}
function isAwake(played: Played, atMs: number): boolean {
  const hour = hourOfDay(played, atMs)
  return hour >= WAKES_H && hour < SLEEPS_H
}
/** The nearest moment at which somebody is up. */
function awake(played: Played, atMs: number): number {
  if (isAwake(played, atMs)) return atMs
  const hour = hourOfDay(played, atMs)
  const sinceBedH = (hour - SLEEPS_H + 24) % 24
  const untilUpH = (WAKES_H - hour + 24) % 24
  return sinceBedH < untilUpH ? atMs - (sinceBedH + 0.1) * HOUR_MS : atMs + untilUpH * HOUR_MS
}

function sdAt(trace: DevelopmentTrace & { readonly degHoursSd?: number }, atMs: number): number {
  return atMs >= trace.startedAtMs ? (trace.degHoursSd ?? 0) : 0
}

/** Knuth's product of uniform numbers, in parts of a mean that does not underflow. */
export function poisson(mean: number, random: Random): number {
  let count = 0
  for (let left = mean; left > 0; left -= 30) {
    const limit = Math.exp(-Math.min(left, 30))
    for (let product = random.uniform(); product > limit; product *= random.uniform()) count++
  }
  return count
}
