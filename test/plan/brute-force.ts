import { demandsOf } from '../../broker/plan/demand.ts'
import { feedingsOf } from '../../broker/plan/feedings.ts'
import type { PlanInput } from '../../broker/plan/contract.ts'

const HOUR = 3_600_000

/** One use of a vessel, as an outsider would list it: every start on the grid, every harvest after it. */
interface Use {
  readonly fromMs: number
  readonly freeMs: number
  readonly serves: readonly boolean[]
  readonly lot: string | null
  /** Nauplii of a step of grams, and most steps; of a running batch its nauplii and 1. */
  readonly perStep: number
  readonly mostSteps: number
}

export interface Best {
  readonly lacking: number
  readonly steps: number
}

/**
 * The best of all that can be done, by trying all of it: what each vessel is used for in which order, and how many steps of grams
 * go into each. For rooms whose forecasts have no band, and whose cold storage loses nothing.
 */
export function bruteForce(input: PlanInput): Best {
  const feedings = feedingsOf(input.cohorts, {
    fromMs: input.nowMs,
    untilMs: input.untilMs,
    zone: input.zone,
  })
  const demands = demandsOf(feedings, input.spare)
  const needs = demands.map(({ nauplii }) => nauplii)
  const perVessel = input.vessels.map(vessel => sequences(input, demands, vessel))
  const lots = new Map(
    input.lots.map(({ id, gramsLeft }) => [
      id,
      gramsLeft === null ? 1e9 : Math.floor(gramsLeft / input.gramStep + 1e-9),
    ]),
  )
  let best: Best = { lacking: Infinity, steps: Infinity }
  const tryAll = (at: number, uses: readonly Use[]): void => {
    const own = perVessel[at]
    if (own) for (const sequence of own) tryAll(at + 1, [...uses, ...sequence])
    else best = better(best, uses, needs, lots)
  }
  tryAll(0, [])
  return best
}

function usesOf(
  input: PlanInput,
  demands: ReturnType<typeof demandsOf>,
  vessel: PlanInput['vessels'][number],
): Use[] {
  const step = (input.gridMin ?? 30) * 60_000
  const moments: number[] = []
  for (let at = Math.ceil(input.nowMs / step) * step; at <= input.untilMs; at += step) moments.push(at)
  const hour = (text: string) => Number(text.slice(0, 2)) + Number(text.slice(3)) / 60
  const awake = (atMs: number) => {
    const h = (atMs / HOUR) % 24
    return h >= hour(input.wake.from) && h <= hour(input.wake.until)
  }
  const harvests = [...new Set([...demands.map(({ atMs }) => atMs), ...moments.filter(awake)])]
  const uses = new Map<string, Use>()
  for (const outlook of input.outlooks.filter(({ vesselId }) => vesselId === vessel.id)) {
    for (const fromMs of moments) {
      if (fromMs < vessel.freeFromMs) continue
      const readyMs = fromMs + outlook.readyH.p50 * HOUR
      for (const endMs of harvests) {
        if (endMs < readyMs) continue
        const serves = demands.map(({ atMs, limitH }) => {
          const ageH = outlook.ageH + ((input.cold ? endMs : atMs) - readyMs) / HOUR
          if (ageH > limitH) return false
          return input.cold
            ? atMs >= endMs && atMs - endMs <= input.cold.keepsH * HOUR
            : atMs >= readyMs && atMs <= endMs
        })
        if (!serves.some(Boolean)) continue
        const use = {
          fromMs,
          freeMs: endMs + vessel.turnroundMin * 60_000,
          serves,
          lot: outlook.lotId,
          perStep: outlook.naupliiPerG * input.gramStep,
          mostSteps: Math.floor((vessel.litres * vessel.maxGpl) / input.gramStep + 1e-9),
        }
        // Of those that serve the same and begin together only the one that is over first is of use.
        const key = `${fromMs}/${use.lot}/${serves.join()}`
        const other = uses.get(key)
        if (!other || use.freeMs < other.freeMs) uses.set(key, use)
      }
    }
  }
  return [...uses.values()]
}

/** Every order in which a vessel may be used, the open batch first if it has one. Of those that serve alike one is enough. */
function sequences(
  input: PlanInput,
  demands: ReturnType<typeof demandsOf>,
  vessel: PlanInput['vessels'][number],
): Use[][] {
  const uses = usesOf(input, demands, vessel)
  const open = input.running.filter(({ vesselId }) => vesselId === vessel.id)
  const begins: Use[][] = []
  for (const batch of open) {
    const readyMs = Math.max(batch.ready.p50, input.nowMs)
    const step = (input.gridMin ?? 30) * 60_000
    const ends = [
      ...new Set([
        ...demands.map(({ atMs }) => atMs),
        ...Array.from({ length: 60 }, (_, i) => Math.ceil(input.nowMs / step) * step + i * step).filter(
          atMs => {
            const h = (atMs / HOUR) % 24
            return h >= 6 && h <= 22
          },
        ),
      ]),
    ].filter(atMs => atMs >= readyMs && atMs <= input.untilMs)
    for (const endMs of ends) {
      const serves = demands.map(({ atMs, limitH }) => {
        const ageH = batch.ageH + ((input.cold ? endMs : atMs) - batch.ready.p50) / HOUR
        if (ageH > limitH) return false
        return input.cold
          ? atMs >= endMs && atMs - endMs <= input.cold.keepsH * HOUR
          : atMs >= readyMs && atMs <= endMs
      })
      begins.push([
        {
          fromMs: input.nowMs,
          freeMs: endMs + vessel.turnroundMin * 60_000,
          serves,
          lot: null,
          perStep: batch.nauplii,
          mostSteps: 1,
        },
      ])
    }
  }
  if (open.length === 0) begins.push([])
  const found = new Map<string, Use[]>()
  const grow = (sequence: Use[]): void => {
    const last = sequence.at(-1)
    const key = sequence
      .map(({ lot, serves }) => `${lot}:${serves.map(Number).join('')}`)
      .sort()
      .join('|')
    const known = found.get(key)
    // Growth goes on from the one that is free first; it is enough to have grown from that.
    if (known && (known.at(-1)?.freeMs ?? 0) <= (last?.freeMs ?? 0)) return
    found.set(key, sequence)
    for (const use of uses) if (use.fromMs >= (last?.freeMs ?? 0)) grow([...sequence, use])
  }
  for (const begin of begins) grow(begin)
  return [...found.values()]
}

function better(
  best: Best,
  uses: readonly Use[],
  needs: readonly number[],
  lots: ReadonlyMap<string, number>,
): Best {
  const most = uses.map(({ mostSteps }) => mostSteps)
  const served = mostServed(uses, most, needs)
  const total = needs.reduce((sum, need) => sum + need, 0)
  if (total - served > best.lacking + 1) return best
  let found = best
  const steps = uses.map(() => 0)
  const given = uses.reduce((sum, { lot, perStep }) => sum + (lot === null ? perStep : 0), 0)
  const perStep = Math.max(1, ...uses.map(use => (use.lot === null ? 0 : use.perStep)))
  const dose = (at: number, left: Map<string, number>, soFar: number): void => {
    const use = uses[at]
    if (!use) {
      if (soFar >= found.steps && found.lacking <= total - served + 1) return
      const lacking = total - mostServed(uses, steps, needs)
      if (lacking < found.lacking - 1 || (lacking <= found.lacking + 1 && soFar < found.steps))
        found = { lacking, steps: soFar }
      return
    }
    if (use.lot === null) {
      steps[at] = 1
      dose(at + 1, left, soFar)
      return
    }
    const lotLeft = left.get(use.lot) ?? 0
    // More than all that it could serve is of no use.
    const useful = Math.ceil(
      needs.reduce((sum, need, i) => sum + (use.serves[i] ? need : 0), 0) / use.perStep - 1e-9,
    )
    for (let n = 0; n <= Math.min(use.mostSteps, lotLeft, useful); n++) {
      if (found.lacking <= total - served + 1 && soFar + n >= found.steps) break
      steps[at] = n
      dose(at + 1, new Map(left).set(use.lot, lotLeft - n), soFar + n)
    }
    steps[at] = 0
  }
  if (found.lacking <= total - served + 1 && Math.ceil((served - given) / perStep - 1e-6) >= found.steps)
    return found
  dose(0, new Map(lots), 0)
  return found
}

/** Nauplii that reach a meal at most: the largest flow from uses to needs, along shortest ways (Edmonds and Karp 1972). */
export function mostServed(
  uses: readonly { readonly serves: readonly boolean[]; readonly perStep: number }[],
  steps: readonly number[],
  needs: readonly number[],
): number {
  const from = uses.map(({ perStep }, i) => perStep * (steps[i] ?? 0))
  const to = [...needs]
  const flow = uses.map(() => needs.map(() => 0))
  let total = 0
  for (;;) {
    const cameFrom = new Map<string, string>()
    const queue: string[] = []
    for (const [i, left] of from.entries())
      if (left > 1e-6) {
        queue.push(`u${i}`)
        cameFrom.set(`u${i}`, '')
      }
    let end: number | null = null
    while (queue.length > 0 && end === null) {
      const node = queue.shift()!
      const i = Number(node.slice(1))
      if (node.startsWith('u')) {
        for (const [d, serves] of uses[i]!.serves.entries())
          if (serves && !cameFrom.has(`d${d}`)) {
            cameFrom.set(`d${d}`, node)
            if (to[d]! > 1e-6) {
              end = d
              break
            }
            queue.push(`d${d}`)
          }
      } else {
        for (const [u, flows] of flow.entries())
          if (flows[i]! > 1e-6 && !cameFrom.has(`u${u}`)) {
            cameFrom.set(`u${u}`, node)
            queue.push(`u${u}`)
          }
      }
    }
    if (end === null) return total
    const path: string[] = [`d${end}`]
    while (cameFrom.get(path[0]!) !== '') path.unshift(cameFrom.get(path[0]!)!)
    let amount = Math.min(to[end]!, from[Number(path[0]!.slice(1))]!)
    for (let k = 1; k < path.length - 1; k += 2)
      amount = Math.min(amount, flow[Number(path[k + 1]!.slice(1))]![Number(path[k]!.slice(1))]!)
    for (let k = 0; k < path.length - 1; k++) {
      const [a, b] = [path[k]!, path[k + 1]!]
      if (a.startsWith('u')) flow[Number(a.slice(1))]![Number(b.slice(1))]! += amount
      else flow[Number(b.slice(1))]![Number(a.slice(1))]! -= amount
    }
    from[Number(path[0]!.slice(1))]! -= amount
    to[end]! -= amount
    total += amount
  }
}
