import type { ThermalResponse } from '../thermal/response.ts'
import { developmentBetween } from './thermal-clock.ts'

/** What is known of how water goes while nobody measures it: it nears an equilibrium. */
export interface GapBridge {
  readonly equilibriumC: number
  /** One standard deviation of it, °C. */
  readonly equilibriumSdC: number
  readonly timeConstantH: number
}

/** A moment on the way through a gap. */
export interface GapPoint {
  /** Since the gap's beginning. */
  readonly hours: number
  readonly waterC: number
  /** Development since the gap's beginning, °C·h. */
  readonly degHours: number
}

export interface GapCrossing {
  /** From after the beginning to the end, which is the last; at most {@link MOST_POINTS}. */
  readonly points: readonly GapPoint[]
  /** Doubt about the development in the gap, as a variance, (°C·h)². */
  readonly variance: number
}

const MOST_POINTS = 48
/** How far water that nobody measures strays from its expected way in a room as rooms are, one standard deviation, °C. Own choice. */
const STRAYS_SD_C = 0.4
/** The same where its thermal response is not known. Own choice. */
const UNKNOWN_SD_C = 0.8
/** The same before its first reading, as it may have been filled too warm or too cold. Own choice. */
const FILLED_SD_C = 1.5
/** Of the difference between bridge and straight line, so much is doubt: what happened on the way lies between, or a little beyond. */
const OTHER_WAY_SHARE = 0.75
/** A vessel of which nothing is known, h: some litres. Own choice. */
const UNKNOWN_TAU_H = 2

/** The bridge for a gap that follows the readings which gave this response. */
export function bridgeFrom(response: ThermalResponse): GapBridge {
  const { p10, p50, p90 } = response.equilibriumC
  return {
    equilibriumC: p50,
    equilibriumSdC: (p90 - p10) / 2.563,
    timeConstantH: response.timeConstantH.p50,
  }
}

/**
 * The way of the water from the reading before a gap to the one after it. With a bridge it is the mean of an Ornstein-Uhlenbeck process
 * tied to both readings: it leaves the first towards the equilibrium, as Newton's law of cooling has it, and comes to the second;
 * where the second is what that law foretells, it is exactly that law. Without one it is the straight line.
 *
 * The doubt is the variance of that process's integral between tied ends, with the equilibrium's own doubt; and where bridge and
 * straight line differ, as they do when something happened in the gap, most of that difference.
 */
export function crossGap(fromC: number, toC: number, hours: number, bridge: GapBridge | null): GapCrossing {
  const known = bridge !== null && usable(bridge) ? bridge : null
  const tauH = known?.timeConstantH ?? UNKNOWN_TAU_H
  const count = Math.min(Math.max(Math.ceil(8 * Math.sqrt(hours / tauH)), 4), MOST_POINTS)
  const points: GapPoint[] = []
  let beforeH = 0
  let beforeC = fromC
  let degHours = 0
  for (let at = 1; at <= count; at++) {
    // Closer together at both ends, where the way bends.
    const nowH = at === count ? hours : (hours * (1 - Math.cos((Math.PI * at) / count))) / 2
    const nowC = at === count ? toC : waterAt(fromC, toC, nowH, hours, known)
    degHours += developmentBetween(beforeC, nowC, nowH - beforeH)
    points.push({ hours: nowH, waterC: nowC, degHours })
    beforeH = nowH
    beforeC = nowC
  }
  const free = freeHours(hours, tauH)
  const straySd = known ? STRAYS_SD_C : UNKNOWN_SD_C
  const otherWay = known ? OTHER_WAY_SHARE * (degHours - developmentBetween(fromC, toC, hours)) : 0
  return {
    points,
    variance: 2 * straySd ** 2 * tauH * free + ((known?.equilibriumSdC ?? 0) * free) ** 2 + otherWay ** 2,
  }
}

/** Doubt about the development in hours before the first reading, where only the end is known, as a variance, (°C·h)². */
export function varianceBefore(hours: number): number {
  const tauH = UNKNOWN_TAU_H
  const kept = Math.exp(-hours / tauH)
  const bracket = hours - 2 * tauH * (1 - kept) + (tauH / 2) * (1 - kept * kept)
  return Math.max(0, 2 * FILLED_SD_C ** 2 * tauH * bracket)
}

/** Of a gap's hours, those in which the water is free of both readings: H - 2·tau·tanh(H / (2·tau)). */
function freeHours(hours: number, tauH: number): number {
  const x = hours / (2 * tauH)
  // Where the closed form would cancel away, the first term of its series.
  return x < 1e-3 ? (2 * tauH * x ** 3) / 3 : hours - 2 * tauH * Math.tanh(x)
}

function waterAt(fromC: number, toC: number, atH: number, hours: number, bridge: GapBridge | null): number {
  if (bridge === null) return fromC + ((toC - fromC) * atH) / hours
  const { equilibriumC, timeConstantH } = bridge
  // sinh((H - t) / tau) / sinh(H / tau) and sinh(t / tau) / sinh(H / tau), in a form that cannot overflow.
  const whole = -Math.expm1((-2 * hours) / timeConstantH)
  const leftH = hours - atH
  const from = (Math.exp(-atH / timeConstantH) * -Math.expm1((-2 * leftH) / timeConstantH)) / whole
  const to = (Math.exp(-leftH / timeConstantH) * -Math.expm1((-2 * atH) / timeConstantH)) / whole
  return equilibriumC + (fromC - equilibriumC) * from + (toC - equilibriumC) * to
}

function usable({ equilibriumC, equilibriumSdC, timeConstantH }: GapBridge): boolean {
  return (
    Number.isFinite(equilibriumC) &&
    equilibriumSdC >= 0 &&
    timeConstantH > 0 &&
    Number.isFinite(equilibriumSdC)
  )
}
