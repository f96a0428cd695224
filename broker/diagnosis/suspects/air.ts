import { HARMFUL_OXYGEN_MGPL } from '../../hatch/oxygen/minutes-left.ts'
import { CauseKind, type Evidence, type Span } from '../contract.ts'
import { CELL_H, CELL_MS, momentOf, runsOf } from '../record/grid.ts'
import { spanOf } from '../record/record.ts'
import { AFTER_FAO_361, afterStart, type Case, hoursWords, number, type Suspect } from './suspect.ts'

/** Air off so shortly before the harvest is the settling, ms. The trade lets it settle for 10 minutes. */
const SETTLING_MS = 30 * 60_000
/** Less than this is a hand at the valve, cells. */
const LEAST_CELLS = 2

/** Where the air was below its limit and nobody had turned it off: runs of cells. */
export function airlessRuns({ input, record }: Case): [number, number][] {
  const { airLpmPerL } = input.limits
  const off: readonly Span[] = input.written.airOff ?? []
  const untilMs = record.harvestMs === null ? Infinity : record.harvestMs - SETTLING_MS
  const isMeant = (atMs: number) =>
    atMs >= untilMs || off.some(({ fromMs, toMs }) => atMs + CELL_MS > fromMs && atMs < toMs)
  return runsOf(
    record.grid.cells,
    cell => (record.air[cell] ?? NaN) < airLpmPerL && !isMeant(momentOf(record.grid, cell)),
    LEAST_CELLS,
  )
}

/** From this share of the hatch on there is something that suffocates. */
export const HATCHED_FROM = 0.05

/** @param hatchedThen share of what hatches in the end that was out when the air failed, 0 to 1 */
export function lostAir(of: Case, hatchedThen: number, leastOxygenMgpl: number | null): Suspect | null {
  const { record, input } = of
  const runs = airlessRuns(of)
  const first = runs[0]
  if (!first) return null
  const hours = runs.reduce((sum, [from, to]) => sum + (to - from) * CELL_H, 0)
  let least = Infinity
  for (const [from, to] of runs)
    for (let cell = from; cell < to; cell++) least = Math.min(least, record.air[cell] ?? Infinity)
  const evidence: Evidence[] = [
    {
      role: 'air',
      spans: runs.map(run => spanOf(record.grid, run)),
      value: least,
      limit: input.limits.airLpmPerL,
      unit: 'l/min/l',
      source: `Your alarm limit. A plant's minimum is 0.0083 l/min per litre (${AFTER_FAO_361}); a cone needs more to keep cysts afloat`,
      words: `Below ${number(input.limits.airLpmPerL, 3)} l/min per litre for ${hoursWords(hours)}, ${number(least, 3)} at the least.`,
    },
  ]
  if (leastOxygenMgpl !== null)
    evidence.push({
      role: null,
      spans: [],
      value: leastOxygenMgpl,
      limit: 2,
      unit: 'mg/l',
      source: 'Harm is feared below 2 mg/L: from memory, no published lethal level was found',
      words: `By the reckoning of its oxygen it fell to ${number(leastOxygenMgpl)} mg/L.`,
    })
  const stage =
    hatchedThen < HATCHED_FROM
      ? 'before anything had hatched, which delays it'
      : `when ${Math.round(100 * hatchedThen)} % of the hatch was out${
          leastOxygenMgpl === null || leastOxygenMgpl < HARMFUL_OXYGEN_MGPL
            ? ', which kills within minutes to hours'
            : `; with so few animals in the water the oxygen lasted, by its reckoning, at ${number(leastOxygenMgpl)} mg/L or more`
        }`
  return {
    kind: CauseKind.airLost,
    words: `The air was lost for ${hoursWords(hours)} from ${afterStart(of, spanOf(record.grid, first).fromMs)} on, ${stage}.`,
    evidence,
    real: 0.97,
    change:
      'Find out what stopped it (plug, pump, split hose, a valve), put in a check valve, and keep a battery pump ready: once hatched it is minutes.',
  }
}
