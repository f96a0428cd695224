import { PIECE_MS, type Piece } from './piece.ts'

/** Water that goes up and down as its heater is switched: a thermostat, or a timer. */
export interface HeaterCycle {
  /** From one peak to the next, ms. */
  readonly periodMs: number
  /** From trough to peak, °C. */
  readonly swingC: number
  /** Mean over the newest whole cycle, °C. */
  readonly meanC: number
}

interface Turn {
  readonly atMs: number
  readonly waterC: number
  /** Integral of the water up to here since the tracker began, °C·ms. */
  readonly heatCms: number
}

/** Water has turned when it has come back so far, °C. Own choice: below it is scatter, a draught, or too small to matter. */
const TURNED_C = 0.15
/** Turns that are remembered. */
const MOST_TURNS = 8
/** Two whole cycles show that it is one. */
const TURNS_OF_A_CYCLE = 4
/** Swings of one heater are alike within this factor, and so are its times on and its times off. Own choice. */
const ALIKE_SWINGS = { factor: 1.6, leeway: 0.05 }
const ALIKE_TIMES = { factor: 2, leeway: 2 * PIECE_MS }
/** A draught may spoil one swing in four. */
const ALIKE_SHARE = 0.75
/** Beyond its former peaks by so much of the swing, or longer on its way than ever by this factor, the heater no longer cycles. */
const LEFT_BY_SWINGS = 0.6
const LEFT_BY_TIMES = 1.5
/** After a silence this long nothing is known of what happened between, ms. */
const SILENT_MS = 15 * 60_000

/** Follows the turning points of the water. Fixed in size; each piece costs the same. */
export class CycleTracker {
  #turns: Turn[] = []
  #direction: 1 | -1 | 0 = 0
  #extreme: Turn | null = null
  #last: Turn | null = null

  take({ atMs, waterC }: Piece): void {
    const last = this.#last
    if (last === null || atMs - last.atMs > SILENT_MS) {
      this.#turns = []
      this.#direction = 0
      this.#extreme = this.#last = { atMs, waterC, heatCms: 0 }
      return
    }
    const here: Turn = {
      atMs,
      waterC,
      heatCms: last.heatCms + ((last.waterC + waterC) / 2) * (atMs - last.atMs),
    }
    this.#last = here
    const extreme = this.#extreme ?? here
    const movedC = waterC - extreme.waterC
    if (this.#direction === 0) {
      if (Math.abs(movedC) < TURNED_C) return
      this.#direction = movedC > 0 ? 1 : -1
      this.#extreme = here
      return
    }
    if (movedC * this.#direction >= 0) {
      this.#extreme = here
    } else if (Math.abs(movedC) >= TURNED_C) {
      this.#turns.push(extreme)
      if (this.#turns.length > MOST_TURNS) this.#turns.shift()
      this.#direction = this.#direction === 1 ? -1 : 1
      this.#extreme = here
    }
  }

  /** The heater's cycle as of the newest piece, or `null` where the water does not go up and down alike, or has left off. */
  cycle(): HeaterCycle | null {
    const turns = this.#turns
    const last = this.#last
    const newest = turns.at(-1)
    const before = turns.at(-3)
    if (turns.length < TURNS_OF_A_CYCLE || last === null || newest === undefined || before === undefined) {
      return null
    }
    const recent = turns.slice(-MOST_TURNS)
    const swings = betweenTurns(recent, (from, to) => Math.abs(to.waterC - from.waterC))
    const times = betweenTurns(recent, (from, to) => to.atMs - from.atMs)
    const sameWay = (index: number) => (times.length - 1 - index) % 2 === 1
    const thisWay = times.filter((_, index) => sameWay(index))
    const otherWay = times.filter((_, index) => !sameWay(index))
    if (!alike(swings, ALIKE_SWINGS) || !alike(thisWay, ALIKE_TIMES) || !alike(otherWay, ALIKE_TIMES))
      return null

    const swingC = medianOf(swings)
    const levels = recent.map(({ waterC }) => waterC)
    const leewayC = LEFT_BY_SWINGS * swingC
    if (last.waterC > Math.max(...levels) + leewayC || last.waterC < Math.min(...levels) - leewayC)
      return null
    if (last.atMs - newest.atMs > LEFT_BY_TIMES * medianOf(thisWay) + 2 * PIECE_MS) return null

    const periodMs = newest.atMs - before.atMs
    return { periodMs, swingC, meanC: (newest.heatCms - before.heatCms) / periodMs }
  }
}

function betweenTurns(turns: readonly Turn[], measure: (from: Turn, to: Turn) => number): number[] {
  return turns.slice(1).map((to, index) => measure(turns[index] ?? to, to))
}

function alike(values: readonly number[], { factor, leeway }: { factor: number; leeway: number }): boolean {
  const usual = medianOf(values)
  const odd = values.filter(value => value > usual * factor + leeway || value < usual / factor - leeway)
  return odd.length <= values.length * (1 - ALIKE_SHARE)
}

function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  const upper = sorted[half] ?? 0
  return sorted.length % 2 === 1 ? upper : ((sorted[half - 1] ?? upper) + upper) / 2
}
