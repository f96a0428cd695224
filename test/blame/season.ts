import { diagnose } from '../../broker/diagnosis/diagnose.ts'
import type { Diagnosis, DiagnosisInput } from '../../broker/diagnosis/contract.ts'
import { HarvestGoal } from '../../broker/hatch/contract.ts'
import { advance, beginTrace } from '../../broker/hatch/development/development.ts'
import { lotBelief } from '../../broker/hatch/lot/belief.ts'
import type { BatchEvidence } from '../../broker/hatch/lot/evidence.ts'
import { defaultRules } from '../../broker/rules/defaults.ts'
import { seededRandom, type Random } from '../../sim/random.ts'
import { drawKeeper, observe } from '../skill/keeper.ts'
import { playBatch } from '../skill/played.ts'
import { drawVessel } from '../skill/vessel.ts'
import { canBePaired, FAULTS, type Fault, OF_RECORD, put, STRENGTHS, type Strength } from './faults.ts'
import { writeDown } from './keeper.ts'
import { hiddenAt, HOUR_MS, playSetting, type Played } from './played.ts'
import { drawSetting, type Setting } from './setting.ts'

export const BEGINS_MS = Date.UTC(2026, 0, 5, 8)
/** A fault matters from here on, by the truth: share of the food of the same batch without it, or hours later. */
export const MATTERS_SHARE = 0.1
export const MATTERS_H = 2

/** One diagnosed batch against its hidden truth. */
export interface Blamed {
  readonly seed: number
  /** What was put into it, and how strongly; none for a well one. */
  readonly faults: readonly Fault[]
  readonly strength: Strength
  /** What it truly took: of the food, and hours. Of the pair together. */
  readonly lostShare: number
  readonly laterH: number
  /** Every one of its faults matters. */
  readonly matters: boolean
  readonly verdict: Diagnosis['verdict']
  /** As named, the first first, with how sure. */
  readonly named: readonly string[]
  /** Those of them that the count shows no loss by. */
  readonly risky: readonly string[]
  readonly probabilities: readonly number[]
  /** The truly lost points of hatch percentage, and the cost that the diagnosis gives. */
  readonly lotSeenBefore: number
  readonly tookMs: number
}

export interface SeasonOptions {
  readonly seed: number
  /** Batches with each fault at each strength. */
  readonly each: number
  readonly well: number
  readonly pairs: number
  readonly onBatch?: (done: number) => void
  /** Only these. */
  readonly faults?: readonly Fault[]
}

export function playSeason({ seed, each, well, pairs, onBatch, faults = FAULTS }: SeasonOptions): Blamed[] {
  const out: Blamed[] = []
  const took = (blamed: Blamed) => {
    out.push(blamed)
    onBatch?.(out.length)
  }
  for (const fault of faults)
    for (const strength of STRENGTHS)
      for (let at = 0; at < each; at++)
        took(blame(seedOf(seed, `${fault} ${strength} ${at}`), [fault], strength))
  for (let at = 0; at < well; at++) took(blame(seedOf(seed, `well ${at}`), [], 0))
  const chance = seededRandom(seed).fork('pairs')
  for (let at = 0, tried = 0; at < pairs && tried < 20 * pairs; tried++) {
    const a = FAULTS[Math.floor(chance.uniform() * FAULTS.length)]!
    const b = FAULTS[Math.floor(chance.uniform() * FAULTS.length)]!
    if (!canBePaired(a, b)) continue
    const strength: Strength = chance.uniform() < 0.5 ? 1 : 2
    const blamed = blame(seedOf(seed, `pair ${tried}`), [a, b], strength)
    // Pairs of which one does not matter beside the other are no pairs.
    if (!blamed.matters) continue
    took(blamed)
    at++
  }
  return out
}

export function seedOf(seed: number, name: string): number {
  return Math.floor(seededRandom(seed).fork(name).uniform() * 2 ** 31)
}

/** Plays one batch, lets its keeper write, and has it diagnosed. */
export function blame(
  seed: number,
  faults: readonly Fault[],
  strength: Strength,
  onDiagnosis?: (seen: {
    diagnosis: Diagnosis
    input: DiagnosisInput
    played: Played
    harvestH: number
  }) => void,
): Blamed {
  const random = seededRandom(seed)
  const wellSetting = drawSetting(random)
  const wellPlayed = playSetting(wellSetting, BEGINS_MS, seed)
  const settingWith = (some: readonly Fault[]) => {
    let setting: Setting = wellSetting
    let recordMatters = true
    for (const fault of some) {
      const done = put(fault, strength, setting, wellPlayed.bestH, random.fork(fault))
      setting = done.setting
      if (done.matters === false) recordMatters = false
    }
    return { setting, recordMatters }
  }
  const { setting, recordMatters } = settingWith(faults)
  const played = faults.length === 0 ? wellPlayed : playSetting(setting, BEGINS_MS, seed)
  const harvestH = harvestOf(played, wellPlayed)
  const truth = resultOf(played, wellPlayed)
  const lost = against(resultOf(wellPlayed, wellPlayed), truth)
  const matters =
    recordMatters &&
    faults.every(fault => {
      if (OF_RECORD.includes(fault)) return true
      if (faults.length === 1) return isMattering(lost)
      const others = settingWith(faults.filter(one => one !== fault)).setting
      return isMattering(against(resultOf(playSetting(others, BEGINS_MS, seed), wellPlayed), truth))
    })
  const history = historyOf(setting, random.fork('history'))
  const input = inputOf(played, harvestH, history, random.fork('keeper'))
  const began = performance.now()
  const diagnosis = diagnose(input)
  onDiagnosis?.({ diagnosis, input, played, harvestH })
  return {
    seed,
    faults,
    strength,
    lostShare: lost.share,
    laterH: lost.laterH,
    matters,
    verdict: diagnosis.verdict,
    named: [...diagnosis.causes, ...diagnosis.risky].map(({ kind }) => kind),
    risky: diagnosis.risky.map(({ kind }) => kind),
    probabilities: diagnosis.causes.map(({ probability }) => probability),
    lotSeenBefore: history.length,
    tookMs: performance.now() - began,
  }
}

/** The input of a diagnosis of a played batch; for looking at one by hand. */
export function inputOf(
  played: Played,
  harvestH: number,
  history: readonly BatchEvidence[],
  random: Random,
): DiagnosisInput {
  const { setting, startedAtMs, readings } = played
  const { scenario } = setting
  const endMs = startedAtMs + harvestH * HOUR_MS
  const kept = Object.fromEntries(
    Object.entries(readings).map(([role, samples]) => [role, samples.filter(one => one.atMs <= endMs)]),
  )
  return {
    batch: {
      startedAtMs,
      endedAtMs: endMs,
      litres: scenario.litres,
      cystsG: scenario.cystsGpl * scenario.litres,
      salinityGpl: setting.writtenGpl ?? scenario.salinityGpl,
      goal: HarvestGoal.balanced,
    },
    nowMs: endMs,
    readings: kept,
    written: writeDown(played, harvestH, random),
    lot: {
      belief: lotBelief(history, null, startedAtMs),
      counted: history.filter(({ items }) => items.some(({ kind }) => kind === 'count')).length,
    },
    altitudeM: 0,
    limits: {
      tooHotC: defaultRules['water-too-hot'].limit,
      tooCoolC: defaultRules['water-too-cool'].limit,
      airLpmPerL: defaultRules['air-lost'].limit,
    },
  }
}

/** A keeper who knows this hatch would draw it off so long after nine in ten were out; one that does not hatch is given up. */
export function harvestOf(played: Played, well: Played): number {
  const afterT90 = well.bestH - (well.t90H ?? well.bestH)
  const hatched = played.hidden.at(-1)?.embryos ?? 1
  const best = played.t90H === null || hatched > 0.98 ? well.bestH + 4 : played.t90H + afterT90
  return Math.max(best + played.setting.harvestShiftH, 3)
}

interface Result {
  readonly food: number
  readonly t90H: number
}

function resultOf(played: Played, well: Played): Result {
  return { food: hiddenAt(played, harvestOf(played, well)).food, t90H: played.t90H ?? Infinity }
}

function against(without: Result, having: Result) {
  return { share: 1 - having.food / Math.max(without.food, 1e-6), laterH: having.t90H - without.t90H }
}

function isMattering({ share, laterH }: ReturnType<typeof against>): boolean {
  return share >= MATTERS_SHARE || laterH >= MATTERS_H
}

/** What was seen of earlier batches of the lot, each well kept. */
export function historyOf({ lot, batchesBefore }: Setting, random: Random): BatchEvidence[] {
  const keeper = drawKeeper(random.fork('habits'))
  return Array.from({ length: batchesBefore }, (_, batch) => {
    const own = random.fork(`batch ${batch}`)
    const startedAtMs = BEGINS_MS - (batchesBefore - batch) * 4 * 24 * HOUR_MS
    const vessel = drawVessel(own.fork('vessel'), [], false)
    const played = playBatch(vessel, lot, startedAtMs, Math.floor(own.uniform() * 2 ** 31))
    const trace = played.samples.reduce((trace, sample) => advance(trace, sample), beginTrace(startedAtMs))
    return observe(played, trace, keeper, own.fork('looks'))
  })
}
