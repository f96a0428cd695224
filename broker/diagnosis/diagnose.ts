import { bandOf } from '../hatch/band.ts'
import { believe, type Belief } from './believe.ts'
import { balanceOf } from './balance.ts'
import {
  type Cause,
  CauseKind,
  type Cost,
  type Diagnosis,
  DIAGNOSIS_VERSION,
  type DiagnosisInput,
  RECORD_KINDS,
  Verdict,
} from './contract.ts'
import { costsOf } from './cost.ts'
import { blindSpots, notMeasured } from './blind-spots.ts'
import { HARMFUL_OXYGEN_MGPL } from '../hatch/oxygen/minutes-left.ts'
import { keptAs } from './model/kept.ts'
import { corrected, recordOf } from './record/record.ts'
import { MOST_PLAYERS } from './shapley.ts'
import { surenessOf } from './sureness.ts'
import { airlessRuns, HATCHED_FROM, lostAir } from './suspects/air.ts'
import { harvestOff } from './suspects/harvest.ts'
import { layers } from './suspects/layers.ts'
import { soundShares, weakChance, weakLot } from './suspects/lot.ts'
import { isOffBy, missingReadings, probeOffset, probeOut, probeWrong } from './suspects/probe.ts'
import { darkAtFirst, pHOff, saltOff, tooDense } from './suspects/set-up.ts'
import type { Case, Suspect } from './suspects/suspect.ts'
import { coolWater, hotWater } from './suspects/water.ts'
import { verdictWords } from './words.ts'

/** A cause matters from here on: share of the food that there would have been without any, or hours of delay. Own choice. */
export const MATTERS_SHARE = 0.08
export const MATTERS_H = 1.5
/** Counted so many points below what is to be expected is more than can be explained. Own choice. */
const UNEXPLAINED_POINTS = 5
/** An hour's delay weighs as much as so many points, when causes are ranked. Own choice. */
const POINTS_PER_H = 3
/** What spoils the record weighs as much as so many points. Own choice. */
const RECORD_POINTS = 20
/** Named from here on: more likely than not. */
const NAMED_FROM = 0.5
/** What is less likely than this is not worth a line. */
const LISTED_FROM = 0.02
/** Any lot may be weak: less than this is no more than that. */
const WEAK_LISTED_FROM = 0.05

/** What went wrong with a batch, what it cost, and what to change. Pure: the same input gives the same answer. */
export function diagnose(input: DiagnosisInput): Diagnosis {
  const shown = recordOf(input)
  const offset = probeOffset({ input, record: shown })
  const isOff = offset !== null && isOffBy(offset) >= NAMED_FROM
  const record = isOff ? corrected(shown, offset.offsetC) : shown
  const of = { input, record }
  const parted = layers(of)
  const found = [
    hotWater(of),
    coolWater(of),
    darkAtFirst(of),
    tooDense(of),
    saltOff(of),
    pHOff(of),
    parted?.suspect ?? null,
    probeWrong(of, offset),
    probeOut(of),
    missingReadings(of),
  ].filter(one => one !== null)
  const airless = airlessRuns(of)
  const suspected = new Set<CauseKind>(found.map(({ kind }) => kind))
  if (airless.length > 0) suspected.add(CauseKind.airLost)

  const kept = keptAs(of, parted)
  const belief = believe(input, record, kept, [...suspected])

  let suffocating = false
  if (airless[0]) {
    const [failed] = airless[0]
    const then = middle(belief.courses.map(one => one.sharesAt(failed).emerged))
    const oxygen = belief.courses.flatMap(one => one.leastOxygenMgpl ?? [])
    const least = oxygen.length > 0 ? middle(oxygen) : null
    const air = lostAir(of, then, least)
    if (air) found.push(air)
    suffocating = then >= HATCHED_FROM && least !== null && least < HARMFUL_OXYGEN_MGPL
  }
  const timing = harvestSuspect(of, belief)
  if (timing) found.push(timing)
  const isWeak = weakChance(of, belief.shares)
  if (isWeak >= WEAK_LISTED_FROM) {
    const suspect = weakLot(of, middle(belief.ways.map(({ hatchShare }) => hatchShare)))
    found.push({ ...suspect, real: isWeak })
  }

  const sound = soundShares(of, belief.ways.length)
  const players = found
    .filter(({ kind }) => !isOfRecord(kind))
    .sort((a, b) => b.real - a.real)
    .slice(0, MOST_PLAYERS)
    .map(({ kind }) => kind)
  const { goal } = input.batch
  const first = input.written.firstSwimmersAtMs ?? Infinity
  const drawnOff = (courses: Belief['courses']) => ({
    cells: courses.map(one => (record.harvestMs === null ? one.bestCell : record.harvestCell)),
    looked: first <= (record.harvestMs ?? Infinity) && first < Infinity,
  })
  const costs = costsOf(kept, players, belief.ways, drawnOff(belief.courses), sound, goal)
  const causes = found
    .map(suspect => {
      const at = players.indexOf(suspect.kind)
      const own = at < 0 ? undefined : costs.causes[at]
      return causeOf(suspect, own, costs.foodWithout)
    })
    .sort((a, b) => b.weight - a.weight)
  const named = causes.filter(({ cause }) => cause.probability >= NAMED_FROM).map(({ cause }) => cause)
  const unnamed = causes
    .filter(({ cause }) => cause.probability < NAMED_FROM && cause.probability >= LISTED_FROM)
    .sort((a, b) => b.cause.probability - a.cause.probability)
    .map(({ cause }) => cause)

  const balanceWith = (some: readonly Cause[]) => {
    const blamed = players.filter(kind => some.some(cause => cause.kind === kind))
    const [ways, courses] = blamed.includes(CauseKind.weakLot)
      ? [belief.ways, belief.courses]
      : [belief.uncounted, belief.uncountedCourses]
    return balanceOf(of, costsOf(kept, blamed, ways, drawnOff(courses), sound, goal))
  }
  const reckoned = balanceWith(named)
  const { blamed, delaying, risky: spared } = byCount(named, reckoned)
  // Nauplii without oxygen are in danger whether or not the count can tell that any died of it.
  const isRisky = ({ kind }: Cause) => suffocating && kind === CauseKind.airLost && reckoned.counted !== null
  const risky = [
    ...spared,
    ...unnamed.filter(isRisky).map(cause => ({ ...cause, noLossCounted: true, cost: NO_COST })),
  ]
  const balance = blamed.length === named.length ? reckoned : balanceWith(blamed)
  const told = named.flatMap(cause => (blamed.includes(cause) ? cause : (delaying.get(cause) ?? [])))
  const verdict = verdictOf(told, balance)
  return {
    version: DIAGNOSIS_VERSION,
    verdict,
    words: verdictWords(verdict, told, risky, balance, input.lot, notMeasured(of)),
    causes: told,
    risky,
    ruledOut: unnamed.filter(cause => !isRisky(cause)),
    balance,
    blindSpots: blindSpots(of),
  }
}

/** Drawn off at another time than was best, as most of the ways have it. */
function harvestSuspect(of: Case, { courses }: Belief): Suspect | null {
  const { harvestMs, harvestCell } = of.record
  if (harvestMs === null) return null
  const bestCell = Math.round(middle(courses.map(one => one.bestCell)))
  const kind = bestCell > harvestCell ? CauseKind.harvestedEarly : CauseKind.harvestedLate
  return harvestOff(of, kind, bestCell, middle(courses.map(one => 1 - one.sharesAt(harvestCell).emerged)))
}

function isOfRecord(kind: CauseKind): boolean {
  return RECORD_KINDS.includes(kind)
}

const NO_COST: Cost = {
  hatchPoints: { p10: 0, p50: 0, p90: 0 },
  foodPoints: { p10: 0, p50: 0, p90: 0 },
  laterH: { p10: 0, p50: 0, p90: 0 },
}

function causeOf(
  suspect: Suspect,
  own: { readonly cost: Cost; readonly foodPoints: Float64Array; readonly laterH: Float64Array } | undefined,
  without: Float64Array,
): { readonly cause: Cause; readonly weight: number } {
  const { kind, words, evidence, real, change } = suspect
  const mattering = isOfRecord(kind) || !own ? 1 : sharesMattering(own.foodPoints, own.laterH, without)
  const probability = real * mattering
  const points = own ? mean(own.foodPoints) + POINTS_PER_H * Math.max(0, mean(own.laterH)) : 0
  const weight = probability * (isOfRecord(kind) ? Math.max(points, RECORD_POINTS) : points)
  const cost = own?.cost ?? NO_COST
  return {
    cause: { kind, words, evidence, probability, sure: surenessOf(probability), cost, change },
    weight,
  }
}

function sharesMattering(points: Float64Array, laterH: Float64Array, without: Float64Array): number {
  let mattering = 0
  for (let way = 0; way < points.length; way++) {
    const lost = (points[way] ?? 0) / Math.max(without[way] ?? 0, 1e-6)
    if (lost >= MATTERS_SHARE || (laterH[way] ?? 0) >= MATTERS_H) mattering++
  }
  return mattering / Math.max(points.length, 1)
}

/**
 * Where the harvest's count reaches, within its own limits, what was to be expected without any cause, it shows no loss: then none is blamed
 * for one, except a late harvest: it takes food out of each nauplius, which no count shows. What was late all the same is told with its delay; what is left of the others is that they were risky.
 */
function byCount(named: readonly Cause[], { counted, without }: Diagnosis['balance']) {
  const blamed: Cause[] = []
  const delaying = new Map<Cause, Cause>()
  const risky: Cause[] = []
  const showsNone = counted !== null && counted.high >= without.p50
  for (const cause of named) {
    const { kind, cost } = cause
    if (!showsNone || isOfRecord(kind) || kind === CauseKind.harvestedLate) blamed.push(cause)
    else if (cost.laterH.p50 >= MATTERS_H)
      delaying.set(cause, { ...cause, noLossCounted: true, cost: { ...NO_COST, laterH: cost.laterH } })
    else risky.push({ ...cause, noLossCounted: true, cost: NO_COST })
  }
  return { blamed, delaying, risky }
}

function verdictOf(named: readonly Cause[], { counted, unexplained }: Diagnosis['balance']): Verdict {
  if (named.length > 0) return Verdict.causes
  if (counted === null || unexplained === null) return Verdict.notCounted
  return unexplained.p90 < -UNEXPLAINED_POINTS ? Verdict.unexplained : Verdict.nothing
}

function middle(values: readonly number[]): number {
  return bandOf(values).p50
}

function mean(values: Float64Array): number {
  return values.reduce((sum, one) => sum + one, 0) / Math.max(values.length, 1)
}
