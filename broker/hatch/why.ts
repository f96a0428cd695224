import type { DevelopmentTrace } from './development/development.ts'
import { degHoursAt, degHoursSdAt, GAP_MS, timeOfDegHours } from './development/development.ts'
import { lookAhead, reachedAt, timeReached } from './development/outlook.ts'
import { developmentRate } from './development/thermal-clock.ts'
import { HORIZON_MS } from './forecast.ts'
import { Z90 } from './normal.ts'
import { RIGHT_WATER_C } from './recipe/usual.ts'
import type { ExpectedWater } from './thermal/expected-water.ts'
import { HOUR_MS } from './units.ts'

/** One reason why half of the lot is out sooner or later than was planned when the batch started. */
export interface DelayReason {
  readonly kind: 'cooler' | 'warmer' | 'unmeasured' | 'slower-lot' | 'faster-lot'
  /** Since when, Unix ms; `null` for water that is back on its plan by now, and for the lot. */
  readonly sinceMs: number | null
  /** How much later, ms; negative is sooner. */
  readonly laterMs: number
  /** Mean of the water in that time, °C, with what is expected of it; `null` for the lot, or when no mean would explain the cost. */
  readonly waterC: number | null
  /** What was planned instead, °C; `null` for the lot. */
  readonly plannedC: number | null
  /** `waterC` was not measured: it is what is expected. */
  readonly expected: boolean
  /**
   * It is more than the forecast's own doubt, and more than what the set-up itself calls right. What is not sure is no reason to tell
   * anybody that the batch is late.
   */
  readonly sure: boolean
}

export interface DelayInput {
  readonly startedAtMs: number
  readonly nowMs: number
  readonly trace: DevelopmentTrace
  readonly expected: ExpectedWater
  /** The water that the plan had from the start on, °C. */
  readonly plannedC: number
  /** The lot's median requirement as it was believed when the batch started, °C·h. */
  readonly plannedDegH: number
  /** As it is believed now, °C·h. */
  readonly nowDegH: number
}

/** Less than this is not worth a sentence, ms. Own choice. */
export const WORTH_SAYING_MS = 15 * 60_000
/** The water's course is looked at in steps of at least this, ms. */
const STEP_MS = 5 * 60_000
/** What is expected is looked at in steps of this, ms. */
const AHEAD_STEP_MS = 30 * 60_000
/** Water that costs less than this share of its time is on its plan: about 0.3 °C at 27 °C, the probe's own doubt. Own choice. */
const ON_PLAN = 0.02
/** Half of the last digit that is shown, °C. */
const HALF_TENTH_C = 0.05
/** So much measured water speaks for itself, ms; with less, what is expected is part of the mean. */
const ENOUGH_MEASURED_MS = HOUR_MS

/** The reasons worth saying, the weightiest first. */
export function delayReasons(input: DelayInput): readonly DelayReason[] {
  return delayParts(input)
    .filter(part => Math.abs(part.laterMs) >= WORTH_SAYING_MS)
    .sort((a, b) => Math.abs(b.laterMs) - Math.abs(a.laterMs))
}

/**
 * All the parts, small ones too. They add up to the whole difference: the hatch of half the lot by the water so far, the water
 * expected and the lot as believed now, less the same by water at `plannedC` from the start and the lot as believed then.
 *
 * How it is shared out. The lot's part is what the changed requirement takes in planned water. All the rest is the water's:
 * each stretch of time costs itself less the time that the planned water would have taken for the same development, and
 * such costs add up exactly. Stretches where nothing was measured are one part. The rest of the way is cut where its
 * cost bends by more than {@link WORTH_SAYING_MS}; the last pieces on the same side of the plan are one part, which says since
 * when; what came before is gathered by its sign.
 *
 * Nothing is given when the plan never hatches, or when by the water expected now nothing hatches within the forecast's horizon.
 */
export function delayParts(input: DelayInput): DelayReason[] {
  const { plannedC, plannedDegH, nowDegH } = input
  const planned = developmentRate(plannedC) / HOUR_MS
  if (!(planned > 0 && plannedDegH > 0 && nowDegH > 0)) return []
  const course = courseOf(input, planned)
  if (!course) return []
  const { way, silence } = course

  const parts: DelayReason[] = []
  const water = (kind: DelayReason['kind'], sinceMs: number | null, cost: Cost, mean: Cost = cost) => {
    const { laterMs, doubtMs } = cost
    const beyondDoubt = Math.abs(laterMs) - Z90 * doubtMs >= WORTH_SAYING_MS
    const sure = beyondDoubt && (kind === 'unmeasured' || !isRight(wholeMean(mean)))
    parts.push({ kind, sinceMs, laterMs, ...meanOf(mean, plannedC), plannedC, sure })
  }
  const runs = runsOf(way)
  const last = runs.at(-1)
  if (last) water(kindOf(last, plannedC), last.fromMs, last)
  const before = runs.slice(0, -1)
  for (const kind of ['cooler', 'warmer'] as const) {
    const side = before.filter(run => kindOf(run, plannedC) === kind)
    if (side.length === 0) continue
    // Hours on the plan cost next to nothing, but would draw the mean towards it.
    const off = side.filter(run => sideOf(run) !== 0)
    water(kind, null, sumOf(side), sumOf(off.length > 0 ? off : side))
  }
  if (silence) water('unmeasured', silence.fromMs, silence)
  const lotMs = (nowDegH - plannedDegH) / planned
  if (lotMs !== 0)
    parts.push({
      kind: lotMs > 0 ? 'slower-lot' : 'faster-lot',
      sinceMs: null,
      laterMs: lotMs,
      waterC: null,
      plannedC: null,
      expected: false,
      sure: true,
    })
  return parts
}

/** What a time of water costs against the plan. */
interface Cost {
  readonly laterMs: number
  /** How long it was measured, and that times its temperature; likewise for what is only expected. */
  readonly seenMs: number
  readonly seenC: number
  readonly aheadMs: number
  readonly aheadC: number
  /** How far the cost of what is only expected may be off, one standard deviation: it is off throughout, or not at all. */
  readonly doubtMs: number
}
interface Stretch extends Cost {
  readonly fromMs: number
}

const NOTHING = { laterMs: 0, seenMs: 0, seenC: 0, aheadMs: 0, aheadC: 0, doubtMs: 0 }

function sumOf(costs: readonly Cost[]): Cost {
  const sum = { ...NOTHING }
  for (const cost of costs) {
    sum.laterMs += cost.laterMs
    sum.seenMs += cost.seenMs
    sum.seenC += cost.seenC
    sum.aheadMs += cost.aheadMs
    sum.aheadC += cost.aheadC
    sum.doubtMs += cost.doubtMs
  }
  return sum
}
const lengthOf = (cost: Cost): number => cost.seenMs + cost.aheadMs

const wholeMean = ({ seenMs, seenC, aheadMs, aheadC }: Cost): number => (seenC + aheadC) / (seenMs + aheadMs)

/** Water that hurries is warmer; water that delays is cooler, or so much warmer that development stops. */
function kindOf(cost: Cost, plannedC: number): 'cooler' | 'warmer' {
  return cost.laterMs < 0 || wholeMean(cost) > plannedC ? 'warmer' : 'cooler'
}

/**
 * The temperature that goes with a cost: what was measured, unless that is too little, or lies on the other side of the plan than
 * the mean with what is expected, which then outweighs it. `null` when that mean does not explain the cost.
 */
function meanOf(cost: Cost, plannedC: number): Pick<DelayReason, 'waterC' | 'expected'> {
  const { laterMs, seenMs, seenC, aheadMs } = cost
  if (!(lengthOf(cost) > 0)) return { waterC: null, expected: false }
  const whole = wholeMean(cost)
  if (laterMs < 0 && whole < plannedC) return { waterC: null, expected: false }
  // Water that was right so far explains nothing: what is expected does.
  const speaks = seenMs >= ENOUGH_MEASURED_MS && isRight(seenC / seenMs) === isRight(whole)
  const enough = speaks || aheadMs === 0
  const seen = enough ? seenC / seenMs : whole
  return seen < plannedC === whole < plannedC
    ? { waterC: seen, expected: !enough }
    : { waterC: whole, expected: true }
}

/** As the set-up asks for, to the tenth that is shown. */
const isRight = (waterC: number): boolean =>
  waterC > RIGHT_WATER_C.from - HALF_TENTH_C && waterC < RIGHT_WATER_C.to + HALF_TENTH_C

/** The way to the hatch of half the lot in short stretches, and apart from it what was not measured; `null` when none leads there. */
function courseOf(input: DelayInput, planned: number): { way: Stretch[]; silence: Stretch | null } | null {
  const { trace, expected, nowMs, nowDegH, startedAtMs } = input
  const knownMs = trace.lastC === null ? startedAtMs : Math.min(trace.lastAtMs, Math.max(nowMs, startedAtMs))
  const known = degHoursAt(trace, knownMs)
  const hatchedMs = nowDegH <= known ? timeOfDegHours(trace, nowDegH) : null
  const seenUntilMs = hatchedMs ?? knownMs

  const way: Stretch[] = []
  let silence: Stretch | null = null
  let longestMs = 0
  const quiet = (stretch: Stretch) => {
    const longer = lengthOf(stretch) > longestMs
    if (longer) longestMs = lengthOf(stretch)
    silence = {
      ...sumOf([silence ?? NOTHING, stretch]),
      fromMs: longer ? stretch.fromMs : (silence?.fromMs ?? 0),
    }
  }

  const { atMs, degH, waterC, variance } = trace.knots
  let at = startedAtMs
  let atDegH = 0
  let atC = waterC[0] ?? 0
  let atVariance = 0
  let fromMs = at
  let fromDegH = 0
  let seenC = 0
  let inGap = false
  const close = () => {
    const seenMs = at - fromMs
    const laterMs = seenMs - (atDegH - fromDegH) / planned
    const stretch = { ...NOTHING, fromMs, laterMs, seenMs, seenC }
    if (seenMs > 0 && inGap) quiet(stretch)
    else if (seenMs > 0) way.push(stretch)
    fromMs = at
    fromDegH = atDegH
    seenC = 0
  }
  const take = (nextMs: number, nextDegH: number, nextC: number, nextVariance: number) => {
    // Doubt grows in gaps alone.
    const gap = nextVariance > atVariance
    if (gap !== inGap) close()
    inGap = gap
    seenC += ((nextMs - at) * (atC + nextC)) / 2
    at = nextMs
    atDegH = nextDegH
    atC = nextC
    atVariance = nextVariance
    if (!gap && at - fromMs >= STEP_MS) close()
  }
  for (let knot = 1; knot < trace.knotCount && (atMs[knot] ?? Infinity) < seenUntilMs; knot++)
    take(atMs[knot] ?? 0, degH[knot] ?? 0, waterC[knot] ?? 0, variance[knot] ?? 0)
  if (seenUntilMs > at) {
    const newestC = trace.lastC !== null && seenUntilMs >= trace.lastAtMs ? trace.lastC : atC
    const doubt = degHoursSdAt(trace, seenUntilMs) ** 2
    take(
      seenUntilMs,
      hatchedMs === null ? known : nowDegH,
      newestC,
      doubt > atVariance * (1 + 1e-9) ? doubt : atVariance,
    )
  }
  close()
  if (hatchedMs !== null) return { way, silence }

  const horizonMs = Math.max(nowMs, knownMs) + HORIZON_MS
  const outlook = lookAhead(expected, 0, knownMs, horizonMs, nowDegH - known)
  const endMs = timeReached(outlook, nowDegH - known)
  if (!(endMs <= horizonMs)) return null
  const silentMs = nowMs - knownMs > GAP_MS ? Math.min(nowMs, endMs) : knownMs
  const ahead = (since: number, toMs: number): Stretch => {
    const reached = toMs >= endMs ? nowDegH - known : reachedAt(outlook, toMs)
    const gained = reached - reachedAt(outlook, since)
    const aheadMs = toMs - since
    const { levelC, spreadC } = expected.at((since + toMs) / 2)
    const offPerMs = Math.abs(developmentRate(levelC + spreadC) - developmentRate(levelC - spreadC)) / 2
    return {
      ...NOTHING,
      fromMs: since,
      laterMs: aheadMs - gained / planned,
      aheadMs,
      aheadC: aheadMs * levelC,
      doubtMs: (aheadMs * offPerMs) / HOUR_MS / planned,
    }
  }
  if (silentMs > knownMs) quiet(ahead(knownMs, silentMs))
  for (let since = silentMs; since < endMs; since += AHEAD_STEP_MS)
    way.push(ahead(since, Math.min(since + AHEAD_STEP_MS, endMs)))
  return { way, silence }
}

/** The way in runs of water on one side of the plan. */
function runsOf(way: readonly Stretch[]): Stretch[] {
  const runs: Stretch[] = []
  let fromIndex = 0
  for (const toIndex of [...bends(way), way.length]) {
    const first = way[fromIndex]
    if (!first || toIndex <= fromIndex) continue
    const piece: Stretch = { ...sumOf(way.slice(fromIndex, toIndex)), fromMs: first.fromMs }
    const run = runs.at(-1)
    if (run && sideOf(run) === sideOf(piece))
      runs[runs.length - 1] = { ...sumOf([run, piece]), fromMs: run.fromMs }
    else runs.push(piece)
    fromIndex = toIndex
  }
  return runs
}

/** 1 for water that delays, -1 for water that hurries, 0 for water on its plan. */
function sideOf(cost: Cost): number {
  const share = cost.laterMs / lengthOf(cost)
  return Math.abs(share) < ON_PLAN ? 0 : Math.sign(share)
}

/** Where the cumulated cost leaves a straight line by more than is worth saying: the stretches that begin there, rising. */
function bends(way: readonly Stretch[]): number[] {
  const time = new Float64Array(way.length + 1)
  const cost = new Float64Array(way.length + 1)
  way.forEach((stretch, index) => {
    time[index + 1] = (time[index] ?? 0) + lengthOf(stretch)
    cost[index + 1] = (cost[index] ?? 0) + stretch.laterMs
  })
  const found: number[] = []
  const open: [from: number, to: number][] = [[0, way.length]]
  for (let span = open.pop(); span; span = open.pop()) {
    const [from, to] = span
    const fromTime = time[from] ?? 0
    const fromCost = cost[from] ?? 0
    const slope = ((cost[to] ?? 0) - fromCost) / ((time[to] ?? 0) - fromTime)
    let furthest = WORTH_SAYING_MS
    let bend = -1
    for (let index = from + 1; index < to; index++) {
      const off = Math.abs((cost[index] ?? 0) - fromCost - slope * ((time[index] ?? 0) - fromTime))
      if (off > furthest) {
        furthest = off
        bend = index
      }
    }
    if (bend < 0) continue
    found.push(bend)
    open.push([from, bend], [bend, to])
  }
  return found.sort((a, b) => a - b)
}
