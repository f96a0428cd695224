import type { PlanInput } from './contract.ts'
import type { Demand } from './demand.ts'
import { Milp } from './milp.ts'
import type { VesselKind } from './vessel-kinds.ts'
import type { Way } from './ways.ts'

const NONE = -1

/** The choice among ways as a mixed-integer program, with the columns by what they mean. Amounts of nauplii are in `unit`s. */
export interface Program {
  readonly milp: Milp
  readonly ways: readonly Way[]
  /** How often each way is gone. */
  readonly times: readonly number[]
  /** Steps of grams that go into each, together; -1 where nothing is dosed. */
  readonly steps: readonly number[]
  /** Nauplii of a way for each of its servings, before any die. */
  readonly amounts: readonly (readonly number[])[]
  /** What each demand lacks. */
  readonly lacking: readonly number[]
  /** Nauplii of one unit: what a gram of the best gives. */
  readonly unit: number
}

export function programOf(
  input: PlanInput,
  demands: readonly Demand[],
  kinds: readonly VesselKind[],
  ways: readonly Way[],
): Program {
  const milp = new Milp()
  const unit = Math.max(1, ...input.outlooks.map(({ naupliiPerG }) => naupliiPerG))
  const { gramStep } = input
  const times: number[] = []
  const steps: number[] = []
  const amounts: number[][] = []
  const lacking = demands.map(({ nauplii }) => milp.column(0, nauplii / unit))
  const met: [number, number][][] = demands.map((_, at) => [[lacking[at] ?? NONE, 1]])

  for (const way of ways) {
    const kind = kinds[way.kindAt]
    const own = way.servings.map(({ demandAt, alive }) => {
      const amount = milp.column(0, (demands[demandAt]?.nauplii ?? 0) / unit / alive)
      met[demandAt]?.push([amount, alive])
      return amount
    })
    amounts.push(own)
    const used = own.map(amount => [amount, 1] as [number, number])
    if (way.source.kind === 'planned' && kind) {
      const most = wholeSteps(kind.litres * kind.maxGpl, gramStep)
      const gone = milp.column(0, kind.vessels.length, true)
      const dosed = milp.column(0, kind.vessels.length * most, true)
      times.push(gone)
      steps.push(dosed)
      milp.row(-Infinity, 0, [...used, [dosed, (-way.source.outlook.naupliiPerG * gramStep) / unit]])
      milp.row(-Infinity, 0, [
        [dosed, 1],
        [gone, -most],
      ])
      milp.row(0, Infinity, [
        [dosed, 1],
        [gone, -1],
      ])
    } else {
      const nauplii =
        way.source.kind === 'running'
          ? way.source.batch.nauplii
          : way.source.kind === 'held'
            ? way.source.held.nauplii
            : 0
      const gone = milp.column(way.source.kind === 'held' ? 1 : 0, 1, true)
      times.push(gone)
      steps.push(NONE)
      milp.row(-Infinity, 0, [...used, [gone, -nauplii / unit]])
    }
  }
  for (const [at, terms] of met.entries()) milp.row((demands[at]?.nauplii ?? 0) / unit, Infinity, terms)
  eachRunsOnce(milp, ways, times)
  lotsLast(milp, input, ways, steps)
  vesselsSuffice(milp, kinds, ways, times)
  return { milp, ways, times, steps, amounts, lacking, unit }
}

/** Whole steps in some grams; a hair below a whole one is that one. */
export const wholeSteps = (grams: number, step: number): number => Math.floor(grams / step + 1e-9)

function eachRunsOnce(milp: Milp, ways: readonly Way[], times: readonly number[]): void {
  const byBatch = new Map<string, [number, number][]>()
  for (const [at, { source }] of ways.entries()) {
    if (source.kind !== 'running') continue
    const terms = byBatch.get(source.batch.id) ?? []
    byBatch.set(source.batch.id, terms)
    terms.push([times[at] ?? NONE, 1])
  }
  for (const terms of byBatch.values()) milp.row(1, 1, terms)
}

function lotsLast(
  milp: Milp,
  { lots, gramStep }: PlanInput,
  ways: readonly Way[],
  steps: readonly number[],
): void {
  for (const { id, gramsLeft } of lots) {
    if (gramsLeft === null) continue
    const terms = ways.flatMap(({ source }, at): [number, number][] =>
      source.kind === 'planned' && source.outlook.lotId === id ? [[steps[at] ?? NONE, 1]] : [],
    )
    if (terms.length > 0) milp.row(-Infinity, wholeSteps(gramsLeft, gramStep), terms)
  }
}

/** At no moment are more vessels of a kind in use than there are; it is enough to look when one is started. */
function vesselsSuffice(
  milp: Milp,
  kinds: readonly VesselKind[],
  ways: readonly Way[],
  times: readonly number[],
): void {
  for (const [kindAt, { vessels }] of kinds.entries()) {
    const own = ways.flatMap((way, at) => (way.kindAt === kindAt ? [{ way, column: times[at] ?? NONE }] : []))
    const moments = [...new Set(own.map(({ way }) => way.fromMs))].sort((a, b) => a - b)
    let before = ''
    for (const atMs of moments) {
      const active = own.filter(({ way }) => way.fromMs <= atMs && atMs < way.freeMs)
      const free = vessels.filter(({ freeFromMs }) => freeFromMs <= atMs).length
      const key = `${free}/${active.map(({ column }) => column).join()}`
      if (key === before) continue
      before = key
      milp.row(
        -Infinity,
        free,
        active.map(({ column }) => [column, 1] as const),
      )
    }
  }
}
