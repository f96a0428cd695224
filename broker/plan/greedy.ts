import type { Chosen } from './choice.ts'
import type { PlanInput } from './contract.ts'
import type { Demand } from './demand.ts'
import { Occupancy } from './occupancy.ts'
import { wholeSteps } from './program.ts'
import type { VesselKind } from './vessel-kinds.ts'
import type { Way } from './ways.ts'

/** What one more batch and one night's work are taken to be worth, in steps of grams; and whether tight ways are gone at all. */
export interface Taste {
  readonly batch: number
  readonly night: number
  readonly tight: boolean
}

interface Open {
  way: Way
  amounts: number[]
  /** Nauplii taken in all. */
  used: number
  readonly most: number
  /** Of a step of grams; `null` where nothing is dosed. */
  readonly perStep: number | null
  readonly lotId: string | null
}

const NEGLIGIBLE = 1e-6
/** What is left of a step of grams is not worth a serving of its own below this share of a meal. Own choice. */
const RUBS = 0.02

/** Meal by meal from the first: each takes what is cheapest by then, from what is there already or from one more batch. */
export function greedy(
  parts: { input: PlanInput; demands: readonly Demand[]; kinds: readonly VesselKind[]; ways: readonly Way[] },
  taste: Taste,
): Chosen[] {
  const { input, demands, kinds, ways } = parts
  const occupancy = new Occupancy(kinds)
  const open: Open[] = []
  const lots = new Map(
    input.lots.map(({ id, gramsLeft }) => [
      id,
      gramsLeft === null ? Infinity : wholeSteps(gramsLeft, input.gramStep),
    ]),
  )
  const begin = (way: Way): Open => {
    const kind = kinds[way.kindAt]
    const { source } = way
    const perStep = source.kind === 'planned' ? source.outlook.naupliiPerG * input.gramStep : null
    const most =
      source.kind === 'planned'
        ? wholeSteps((kind?.litres ?? 0) * (kind?.maxGpl ?? 0), input.gramStep) * (perStep ?? 0)
        : source.kind === 'running'
          ? source.batch.nauplii
          : source.held.nauplii
    const lotId = source.kind === 'planned' ? source.outlook.lotId : null
    const one = { way, amounts: way.servings.map(() => 0), used: 0, most, perStep, lotId }
    open.push(one)
    if (way.kindAt >= 0) occupancy.take(way.kindAt, way)
    return one
  }
  for (const way of given(ways)) begin(way)

  const longer = longerWays(ways)
  const serving = demands.map((): { way: Way; at: number }[] => [])
  for (const way of ways) {
    if (way.source.kind !== 'planned') continue
    for (const [at, { demandAt, tight }] of way.servings.entries())
      if (taste.tight || !tight) serving[demandAt]?.push({ way, at })
  }

  for (const [demandAt, { nauplii }] of demands.entries()) {
    let left = nauplii
    while (left > NEGLIGIBLE) {
      let best: { cost: number; one: Open | null; way: Way; at: number; room: number } | null = null
      const betters = (cost: number) => best === null || cost < best.cost - 1e-9
      const offer = (cost: number, one: Open, way: Way, at: number, room: number) => {
        if (betters(cost) && occupancy.fitsInstead(way.kindAt, one.way, way))
          best = { cost, one, way, at, room }
      }
      for (const one of open) {
        if (one.most - one.used <= NEGLIGIBLE) continue
        const way = reaching(one.way, demandAt, longer)
        const at = way ? placeOf(way, demandAt) : -1
        const each = way?.servings[at]
        if (!way || !each) continue
        if (each.tight && !taste.tight && one.perStep !== null) continue
        const room = Math.min(one.most - one.used, roomInLot(one, lots))
        if (room <= NEGLIGIBLE) continue
        // What is there already costs nothing, and goes before it is too old; so does what is left of a step of grams.
        const rest =
          one.perStep === null ? room : Math.ceil(one.used / one.perStep - 1e-9) * one.perStep - one.used
        if (one.perStep === null) offer(-1e6 - each.ageH - each.coldH, one, way, at, room)
        else if (rest > RUBS * nauplii) offer(-1e3 - each.coldH, one, way, at, rest)
        else offer(left / each.alive / one.perStep, one, way, at, room)
      }
      for (const { way, at } of serving[demandAt] ?? []) {
        const each = way.servings[at]
        const kind = kinds[way.kindAt]
        if (!each || !kind || way.source.kind !== 'planned') continue
        const perStep = way.source.outlook.naupliiPerG * input.gramStep
        const lotSteps = lots.get(way.source.outlook.lotId) ?? 0
        const room = Math.min(wholeSteps(kind.litres * kind.maxGpl, input.gramStep), lotSteps) * perStep
        if (room <= NEGLIGIBLE) continue
        const nights = Number(way.nightStart) + Number(way.nightHarvest)
        const share = Math.min(1, (room * each.alive) / left)
        const cost =
          left / each.alive / perStep + (taste.batch + taste.night * nights) / share + (each.tight ? 1e3 : 0)
        if (betters(cost) && occupancy.fits(way.kindAt, way)) best = { cost, one: null, way, at, room }
      }
      if (best === null) break
      const { one, way, at, room } = best as { one: Open | null; way: Way; at: number; room: number }
      const taker = one ?? begin(way)
      if (taker.way !== way) {
        occupancy.release(way.kindAt, taker.way)
        occupancy.take(way.kindAt, way)
        taker.amounts = way.servings.map((_, i) => taker.amounts[i] ?? 0)
        taker.way = way
      }
      const alive = way.servings[at]?.alive ?? 1
      const taken = Math.min(left / alive, room)
      take(taker, at, taken, lots)
      left -= taken * alive
    }
  }
  return open
    .map(one => ({
      way: one.way,
      times: 1,
      steps: one.perStep === null ? 0 : Math.ceil(one.used / one.perStep - 1e-9),
      amounts: one.amounts,
    }))
    .filter(({ way, steps }) => way.source.kind !== 'planned' || steps > 0)
}

/** Held food is there; of each running batch the way that serves most, and of those the earliest. */
function given(ways: readonly Way[]): Way[] {
  const held = ways.filter(({ source }) => source.kind === 'held')
  const running = new Map<string, Way>()
  for (const way of ways) {
    if (way.source.kind !== 'running') continue
    const { id } = way.source.batch
    const best = running.get(id)
    if (!best || way.servings.length > best.servings.length) running.set(id, way)
  }
  return [...held, ...running.values()]
}

const lineOf = ({ kindAt, source, servings }: Way): string | null =>
  source.kind !== 'planned'
    ? null
    : [kindAt, source.outlook.lotId, source.outlook.goal, source.startMs, servings[0]?.demandAt].join('/')

/** Ways that differ only in how long a batch is drawn from; what the shorter one serves the longer one begins with. */
function longerWays(ways: readonly Way[]): Map<string, Way[]> {
  const lines = new Map<string, Way[]>()
  for (const way of ways) {
    const line = lineOf(way)
    if (line === null) continue
    const same = lines.get(line)
    if (same) same.push(way)
    else lines.set(line, [way])
  }
  for (const same of lines.values()) same.sort((a, b) => a.servings.length - b.servings.length)
  return lines
}

/** Where the demand stands among the way's servings, which are in the order of demands; -1 when it does not. */
function placeOf({ servings }: Way, demandAt: number): number {
  let low = 0
  let high = servings.length - 1
  while (low <= high) {
    const middle = (low + high) >>> 1
    const found = servings[middle]?.demandAt ?? demandAt
    if (found === demandAt) return middle
    if (found < demandAt) low = middle + 1
    else high = middle - 1
  }
  return -1
}

/** The way itself if it serves the demand, else the shortest longer one that does. */
function reaching(way: Way, demandAt: number, longer: ReadonlyMap<string, readonly Way[]>): Way | undefined {
  const serves = (one: Way) => placeOf(one, demandAt) >= 0
  if (serves(way)) return way
  const line = lineOf(way)
  return line === null
    ? undefined
    : longer.get(line)?.find(one => one.servings.length > way.servings.length && serves(one))
}

/** Nauplii that the lot still has for it, what is left of its last step among them. */
function roomInLot({ perStep, lotId, used }: Open, lots: ReadonlyMap<string, number>): number {
  if (perStep === null || lotId === null) return Infinity
  const dosed = Math.ceil(used / perStep - 1e-9)
  return (lots.get(lotId) ?? 0) * perStep + dosed * perStep - used
}

function take(one: Open, at: number, nauplii: number, lots: Map<string, number>): void {
  const before = one.perStep === null ? 0 : Math.ceil(one.used / one.perStep - 1e-9)
  one.used += nauplii
  one.amounts[at] = (one.amounts[at] ?? 0) + nauplii
  if (one.perStep === null || one.lotId === null) return
  const more = Math.ceil(one.used / one.perStep - 1e-9) - before
  lots.set(one.lotId, (lots.get(one.lotId) ?? 0) - more)
}
