import { ChartSign } from '../hatch/lot/control-chart.ts'
import { ChartOf } from '../hatch/lot/harvests.ts'
import { unseenLot } from '../hatch/lot/lot.ts'
import { isUneven, isWeak, levelOf } from '../hatch/lot/quality.ts'
import type { LotReason, LotSummary } from '../hatch/lot/summary.ts'

/** What is known of a lot, in plain words with its numbers. What to do about it is said beside it (`lot-advice.ts`). */
export function lotWords(summary: LotSummary): string {
  return [verdictWords(summary), oddWords(summary)].filter(words => words !== '').join(' ')
}

function verdictWords(summary: LotSummary): string {
  const { reason, batches, harvests, observations } = summary
  switch (reason.name) {
    case 'never-observed':
      return 'Nothing was seen of it yet. Count one batch and its times become surer.'
    case 'few-counts':
      return reason.counts === 0
        ? `Seen in ${times(batches, 'batch', 'batches')}, never counted. Count the next harvest.`
        : 'Counted in one batch. One more and it is known.'
    case 'counted': {
      const level = levelOf(summary)
      const weak =
        level !== null && isWeak(summary)
          ? `${percent(level)} hatched, in the middle of its harvests, where ${percent(unseenLot.hatchShare)} is usual: weak. `
          : ''
      return `${weak}Counted in ${times(reason.counts, 'batch', 'batches')}, ${times(observations, 'observation')} in all${chartWords(harvests, isUneven(summary), weak !== '')}`
    }
    case 'hatches-less':
      return declineWords(reason)
    case 'hatches-later':
      return `Its last ${reason.batches} batches took ${percent(reason.to / reason.from - 1)} longer than it used to. ${chance(reason)} Check the probe against a second thermometer first.`
    case 'hardly-hatches':
      return `Counted in ${times(reason.counts, 'batch', 'batches')}: of its next batch about ${percent(reason.share)} of the cysts are expected to hatch, as hardly any did so far.`
  }
}

/** Whether its harvests differ by more than chance, and how far they would have to. */
function chartWords(
  { of, chart: { values, limits } }: LotSummary['harvests'],
  uneven: boolean,
  weak: boolean,
): string {
  if (limits === null) return '. From five counted harvests on, its chart tells a decline from chance.'
  const all = values.map(({ value }) => value)
  const span = `${amount(of, Math.min(...all))} to ${amount(of, Math.max(...all))}`
  if (!uneven)
    return `: ${weak ? 'steady at that' : 'steady'}. What is usual for it is ${amount(of, limits.mean)}, and ${two(of, limits.innerLower)}.`
  const far =
    limits.innerLower > 0
      ? `only ${two(of, limits.innerLower)}`
      : 'no fall of it could be told from chance yet'
  return `. Its harvests differ so much from each other, ${span}, that its chart can tell little of a decline: ${far}.`
}

const two = (of: ChartOf, line: number): string => `two of three below ${amount(of, line)} would be a decline`

function declineWords({
  by,
  from,
  to,
  sign,
  onEnd,
  line,
}: Extract<LotReason, { name: 'hatches-less' }>): string {
  const shown = `${amount(by, to)} in the mean`
  if (sign === ChartSign.runLow)
    return `Its last ${onEnd} harvests on end lie below the ${amount(by, from)} usual for it: ${shown}, as counted.`
  const those = onEnd > 1 ? `Its last ${onEnd} harvests on end` : 'Two of its last three harvests'
  return `${those} lie below ${amount(by, line)}, to which harvests of this lot differ by chance: ${shown}, as counted, where ${amount(by, from)} is usual for it.`
}

/** Counts that stand apart: by the chart where it has limits, else as the model finds them. */
function oddWords({ doubted, harvests, reason }: LotSummary): string {
  const { limits, values } = harvests.chart
  if (limits === null) {
    if (doubted === 0) return ''
    const one = doubted === 1
    return `${one ? 'One count does not fit the others and weighs' : `${doubted} counts do not fit the others and weigh`} little in its forecasts: ${UNLUCKY}.`
  }
  if (reason.name !== 'counted') return ''
  const failed = values.filter(({ value }) => value < limits.lower).length
  if (failed === 0) return ''
  return failed === 1
    ? `One of its harvests fell below ${amount(harvests.of, limits.lower)} and weighs little in its forecasts: ${UNLUCKY}.`
    : `${failed} of its harvests fell below ${amount(harvests.of, limits.lower)} and weigh little in its forecasts: unlucky batches, or slips in what was sampled.`
}

const UNLUCKY = 'an unlucky batch, or a slip in what was sampled, its millilitres or the litres'

function times(count: number, one: string, several = `${one}s`): string {
  return `${count} ${count === 1 ? one : several}`
}

const percent = (share: number): string => `${Math.round(100 * share)}\u00a0%`

/** What a value of the chart says: `44 % hatched`, `82,000 from a gram`. */
const amount = (of: ChartOf, value: number): string =>
  of === ChartOf.hatchPercentage
    ? `${Math.round(value)}\u00a0% hatched`
    : `${Number(value.toPrecision(2)).toLocaleString('en-US')} from a gram`

function chance({ chance: share }: Extract<LotReason, { chance: number }>): string {
  const oneIn = 1 / Math.max(share, 1e-6)
  return `By chance that happens once in ${oneIn >= 1000 ? 'a thousand times or more' : `${Math.round(oneIn)} times`}.`
}
