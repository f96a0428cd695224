/**
 * Water that nears an equilibrium, dT/dt = (equilibrium - T) / tau, followed through pieces of readings: for one time constant and
 * one restlessness of the equilibrium this is a Kalman filter (Kalman 1960, doi 10.1115/1.3662552) over two numbers, the level
 * and the equilibrium, and so exact. Time in hours, temperatures in °C.
 */

/** Columns of pieces, oldest first. */
export interface PieceColumns {
  readonly count: number
  /** Hours from any origin. */
  readonly atH: Float64Array
  readonly waterC: Float64Array
  /** How far each may be off, °C². */
  readonly variance: Float64Array
}

/** What the filter believes after a piece: a normal distribution over two numbers, and how well it foretold the pieces so far. */
export interface FilterState {
  levelC: number
  equilibriumC: number
  levelVar: number
  covariance: number
  equilibriumVar: number
  lnLikelihood: number
}

/** A surprise beyond so many standard deviations counts as a wild value: its pull stays where it is there (Huber 1964). */
const WILD_Z = 3
const FORETOLD = 4

/** How one time constant acts from each piece to the next; worked out once and used for every restlessness. */
export interface Steps {
  readonly tauH: number
  readonly keeps: Float64Array
  readonly levelNoise: Float64Array
  readonly jointNoise: Float64Array
  readonly hours: Float64Array
}

export function stepsOf(pieces: PieceColumns, tauH: number): Steps {
  const { count, atH } = pieces
  const keeps = new Float64Array(count)
  const levelNoise = new Float64Array(count)
  const jointNoise = new Float64Array(count)
  const hours = new Float64Array(count)
  for (let at = 1; at < count; at++) {
    const stepH = (atH[at] ?? 0) - (atH[at - 1] ?? 0)
    const lost = -Math.expm1(-stepH / tauH)
    hours[at] = stepH
    keeps[at] = 1 - lost
    levelNoise[at] = wanderedLevel(stepH, tauH, lost)
    jointNoise[at] = Math.max(0, stepH - tauH * lost)
  }
  return { tauH, keeps, levelNoise, jointNoise, hours }
}

/** Variance that reaches the level from an equilibrium that wanders by 1 °C² an hour, after some hours, °C². */
function wanderedLevel(hours: number, tauH: number, lost: number): number {
  // Where the closed form would cancel away, its first term of the series.
  if (hours < tauH / 100) return hours ** 3 / (3 * tauH * tauH)
  return Math.max(0, hours - tauH * lost - (tauH * lost * lost) / 2)
}

/** Follows the pieces from `from` to before `to`, changing `state`. */
export function follow(
  state: FilterState,
  pieces: PieceColumns,
  steps: Steps,
  wanderC2ph: number,
  from: number,
  to: number,
): void {
  let { levelC, equilibriumC, levelVar, covariance, equilibriumVar, lnLikelihood } = state
  const { keeps, levelNoise, jointNoise, hours } = steps
  const { waterC, variance } = pieces
  for (let at = from; at < to; at++) {
    const keep = keeps[at] ?? 1
    const lost = 1 - keep
    levelC = keep * levelC + lost * equilibriumC
    levelVar =
      keep * keep * levelVar +
      2 * keep * lost * covariance +
      lost * lost * equilibriumVar +
      wanderC2ph * (levelNoise[at] ?? 0)
    covariance = keep * covariance + lost * equilibriumVar + wanderC2ph * (jointNoise[at] ?? 0)
    equilibriumVar += wanderC2ph * (hours[at] ?? 0)

    const surpriseC = (waterC[at] ?? 0) - levelC
    let total = levelVar + (variance[at] ?? 0)
    const z = Math.abs(surpriseC) / Math.sqrt(total)
    // Only where the level was foretold about as well as it is measured: else it is the foretelling that was off.
    if (z > WILD_Z && levelVar < FORETOLD * (variance[at] ?? 0)) {
      lnLikelihood -= Math.log(total) / 2 + WILD_Z * z - (WILD_Z * WILD_Z) / 2
      total *= z / WILD_Z
    } else {
      lnLikelihood -= Math.log(total) / 2 + (z * z) / 2
    }
    const levelGain = levelVar / total
    const equilibriumGain = covariance / total
    levelC += levelGain * surpriseC
    equilibriumC += equilibriumGain * surpriseC
    equilibriumVar -= equilibriumGain * covariance
    covariance -= equilibriumGain * levelVar
    levelVar -= levelGain * levelVar
  }
  state.levelC = levelC
  state.equilibriumC = equilibriumC
  state.levelVar = levelVar
  state.covariance = covariance
  state.equilibriumVar = equilibriumVar
  state.lnLikelihood = lnLikelihood
}
