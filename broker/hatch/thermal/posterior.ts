import { BELIEVABLE_C, TAU_LIMITS_H, type TauBelief } from './vessel-prior.ts'
import { follow, stepsOf, type FilterState, type PieceColumns } from './first-order-filter.ts'

/** One way the vessel may be, and how believable it is: all cases of a fit have weights that add up to 1. */
export interface ThermalCase {
  readonly weight: number
  readonly tauH: number
  /** The normal distribution over the level at the newest reading and the equilibrium, °C and °C². */
  readonly levelC: number
  readonly equilibriumC: number
  readonly levelVar: number
  readonly covariance: number
  readonly equilibriumVar: number
  /** The piece with which this equilibrium began; 0 where it holds since the first. */
  readonly sinceAt: number
}

/** What is believed of the equilibrium where this regime begins, °C. */
export interface EquilibriumBelief {
  readonly meanC: number
  readonly sdC: number
}

/**
 * How much an equilibrium wanders, °C² an hour, with how believable each is: as in a climate chamber (0.02 °C in the first hour),
 * as in a room (0.15 °C), as in a draughty one (0.6 °C). Own assumption.
 */
const WANDERS = [
  { warmingWander: 0.0002, ln: Math.log(0.25) },
  { warmingWander: 0.01, ln: Math.log(0.5) },
  { warmingWander: 0.16, ln: Math.log(0.25) },
] as const
const USUAL = 1
/** After a change anything between a dead lamp and one that is far too near may have come, °C. Own assumption. */
export const CHANGED_SD_C = 7
/** Something is switched, moved or topped up so often, an hour. Own assumption: once a day. */
const CHANGES_PER_H = 1 / 24
/** Topping up moves the level itself, °C. Own assumption. */
const CHANGED_LEVEL_SD_C = 1
/** A change may lie so many pieces back, rising; a later one than these is not told from scatter. */
export const LOOK_BACK: readonly number[] = [3, 4, 5, 6, 8, 10, 13, 16, 20, 25, 30, 34, 38]
/** Time constants looked at, before and in each refinement; and where a glance is enough. */
const NODES = 9
const NODES_AT_A_GLANCE = 3
/** The grid reaches so many standard deviations to each side. */
const REACH_SD = 2.4
const MOST_REFINEMENTS = 8
/** Cases less believable than the best by this, on the natural logarithm, are left out. */
const FORGET_LN = 7

export interface Posterior {
  readonly cases: readonly ThermalCase[]
  readonly tau: TauBelief
}

/** Something else than the water has told of a change: that the lamp grew brighter. */
export interface ToldChange {
  /** The first piece after it. */
  readonly at: number
  /** How likely it is that what holds the water warm changed with it, 0 to 1, before the water has said anything. */
  readonly chance: number
  /** Where the water then heads. */
  readonly equilibrium: EquilibriumBelief
}

export interface PosteriorSetting {
  readonly tau: TauBelief
  readonly equilibrium: EquilibriumBelief
  /** How many pieces back to look for a change, rising; none to look for none. */
  readonly lookBack: readonly number[]
  /** A change that was told of otherwise. */
  readonly told?: ToldChange | undefined
  /** Close in on the time constant as far as the pieces tell it, or only glance at a few. */
  readonly refine: boolean
}

/**
 * All that a few dozen pieces say: over a grid of time constants, how restless the equilibrium is, and when it last changed; level
 * and equilibrium in closed form within each. The grid closes in on the time constant as far as the data do.
 */
export function posteriorOf(pieces: PieceColumns, setting: PosteriorSetting): Posterior {
  const prior = setting.tau
  const lowest = Math.log(TAU_LIMITS_H.low)
  const highest = Math.log(TAU_LIMITS_H.high)
  const priorMean = Math.log(prior.medianH)
  const nodes = setting.refine ? NODES : NODES_AT_A_GLANCE
  let centre = priorMean
  let reach = (setting.refine ? REACH_SD : 1) * prior.lnSd
  let found: Draft[] = []
  let alive: ReadonlySet<string> | null = null
  for (let round = 0; ; round++) {
    const from = Math.max(centre - reach, lowest)
    const step = (Math.min(centre + reach, highest) - from) / (nodes - 1)
    found = []
    for (let node = 0; node < nodes; node++) {
      const lnTau = from + step * node
      const z = (lnTau - priorMean) / prior.lnSd
      addCases(found, pieces, setting, lnTau, (-z * z) / 2, alive)
    }
    weigh(found)
    const { mean, sd } = lnTauOf(found)
    const done = !setting.refine || round === MOST_REFINEMENTS || sd > 0.85 * step
    if (done) {
      // Between nodes nothing is seen, so a belief is never narrower than its grid.
      const lnSd = Math.min(Math.hypot(sd, step / 4), prior.lnSd)
      return { cases: found, tau: { medianH: Math.exp(mean), lnSd } }
    }
    // A change that no time constant made believable is not looked at again.
    alive = new Set(found.flatMap(({ kind, sinceAt }) => [storyOf(kind), storyOf(kind, sinceAt)]))
    centre = mean
    reach = Math.max(REACH_SD * sd, 1.3 * step)
  }
}

interface Draft extends ThermalCase {
  weight: number
  readonly lnTau: number
  readonly kind: number
}

/** How restless, and changed when: one story that is told with every time constant. */
function storyOf(kind: number, sinceAt?: number): string {
  return `${kind} ${sinceAt ?? ''}`
}

function addCases(
  found: Draft[],
  pieces: PieceColumns,
  setting: PosteriorSetting,
  lnTau: number,
  lnPrior: number,
  alive: ReadonlySet<string> | null,
): void {
  const told = (kind: number, sinceAt: number) =>
    sinceAt === 0 || alive === null || alive.has(storyOf(kind, sinceAt))
  const { count } = pieces
  const tauH = Math.exp(lnTau)
  const steps = stepsOf(pieces, tauH)
  const first = pieces.variance[0] ?? 1
  WANDERS.forEach(({ warmingWander, ln }, kind) => {
    // A calm room shows only once the grid is close, so it is looked at every time.
    if (kind > 0 && alive !== null && !alive.has(storyOf(kind))) return
    const wanderC2ph = warmingWander * tauH * tauH
    const state: FilterState = {
      levelC: pieces.waterC[0] ?? 0,
      equilibriumC: setting.equilibrium.meanC,
      levelVar: first,
      covariance: 0,
      equilibriumVar: setting.equilibrium.sdC ** 2,
      lnLikelihood: 0,
    }
    let done = 1
    // From the oldest change to the newest, so that what lies before it is followed once.
    for (const change of kind === USUAL ? changesToLookAt(pieces, setting) : []) {
      const { at, chance, equilibrium } = change
      if (!told(kind, at)) continue
      follow(state, pieces, steps, wanderC2ph, done, at)
      done = at
      const changed = {
        ...state,
        equilibriumC: equilibrium?.meanC ?? state.levelC,
        equilibriumVar: (equilibrium?.sdC ?? CHANGED_SD_C) ** 2,
        covariance: 0,
        // Topping up moves the water itself; a lamp does not.
        levelVar: state.levelVar + (equilibrium ? 0 : CHANGED_LEVEL_SD_C ** 2),
      }
      follow(changed, pieces, steps, wanderC2ph, at, count)
      found.push(draft(changed, lnTau, kind, lnPrior + ln + Math.log(chance), at))
    }
    follow(state, pieces, steps, wanderC2ph, done, count)
    found.push(draft(state, lnTau, kind, lnPrior + ln, 0))
  })
}

interface LookedAt {
  readonly at: number
  readonly chance: number
  readonly equilibrium?: EquilibriumBelief
}

/** When something may have changed, the oldest first, and how likely that is without the water's word. */
function changesToLookAt({ count, atH }: PieceColumns, { lookBack, told }: PosteriorSetting): LookedAt[] {
  const found: LookedAt[] = []
  for (let look = lookBack.length - 1; look >= 0; look--) {
    const at = count - (lookBack[look] ?? 0)
    if (at < 2) continue
    // Each moment looked at stands for the time back to the one before.
    const earlier = Math.max(count - (lookBack[look + 1] ?? (lookBack[look] ?? 0) + 1), 0)
    const chance = CHANGES_PER_H * ((atH[at] ?? 0) - (atH[Math.min(earlier, at - 1)] ?? 0))
    found.push({ at, chance: Math.min(chance, 0.5) })
  }
  if (told === undefined || told.at < 2 || told.at >= count) return found
  return [...found, told].sort((a, b) => a.at - b.at)
}

function draft(state: FilterState, lnTau: number, kind: number, lnPrior: number, sinceAt: number): Draft {
  const { levelC, equilibriumC, levelVar, covariance, equilibriumVar, lnLikelihood } = state
  return {
    // Its logarithm, until all are weighed.
    weight: lnLikelihood + lnPrior + lnBelievable(equilibriumC, equilibriumVar),
    lnTau,
    kind,
    tauH: Math.exp(lnTau),
    levelC,
    equilibriumC,
    levelVar,
    covariance,
    equilibriumVar,
    sinceAt,
  }
}

/** What cannot be where water stands in a room is the less believed the further out it is. */
function lnBelievable(equilibriumC: number, equilibriumVar: number): number {
  const outC = Math.max(BELIEVABLE_C.low - equilibriumC, equilibriumC - BELIEVABLE_C.high, 0)
  return (-outC * outC) / (2 * (equilibriumVar + 25))
}

function weigh(found: Draft[]): void {
  const best = found.reduce((most, { weight }) => Math.max(most, weight), -Infinity)
  let kept = 0
  let sum = 0
  for (const one of found) {
    if (!(one.weight > best - FORGET_LN)) continue
    one.weight = Math.exp(one.weight - best)
    sum += one.weight
    found[kept++] = one
  }
  found.length = kept
  for (const one of found) one.weight /= sum
}

function lnTauOf(found: readonly Draft[]): { mean: number; sd: number } {
  let mean = 0
  for (const { weight, lnTau } of found) mean += weight * lnTau
  let variance = 0
  for (const { weight, lnTau } of found) variance += weight * (lnTau - mean) ** 2
  return { mean, sd: Math.sqrt(variance) }
}
