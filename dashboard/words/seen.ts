import { MOST_NAUPLII_PER_G } from '../../broker/hatch/counts/most-nauplii.ts'
import { roundedOut } from '../../broker/hatch/counts/rounded-out.ts'
import { type SampledFrom, vesselMlSampled } from '../../broker/hatch/counts/samples.ts'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import { observedText } from './observed.ts'
import type { TemperatureUnit } from './temperature.ts'

type Count = Extract<BatchEvent, { kind: 'count' }>
/** What a count says of all that was sampled, with limits that hold the truth 95 times in 100. */
export interface Estimate {
  readonly low: number
  readonly best: number
  readonly high: number
}

/** What was seen, in a line. */
export function seenText(event: BatchEvent, unit: TemperatureUnit = 'C'): string {
  switch (event.kind) {
    case 'first-swimmers':
      return 'First swimmers'
    case 'note':
      return event.text
    case 'count': {
      const samples = event.samples.length === 1 ? 'one sample' : `${event.samples.length} samples`
      return `Counted ${samples}${event.harvest ? ' at the harvest' : ''}: ${countedText(event.samples)}${fromText(event)}`
    }
    default:
      return observedText(event, unit)
  }
}

/** ` of 250 mL drawn off`; nothing where the vessel itself was sampled. */
const fromText = ({ drawnOffMl }: Pick<Count, 'drawnOffMl'>): string =>
  drawnOffMl === undefined
    ? ''
    : ` of ${Number(drawnOffMl.toPrecision(3)).toLocaleString('en-US')} mL drawn off`

/**
 * `212 nauplii, 14 umbrellas, 30 unhatched in 3 mL`; what nobody counted is left out, and what was counted in some samples only
 * is said to be of those.
 */
export function countedText(samples: Count['samples']): string {
  const total = (of: (sample: Count['samples'][number]) => number | undefined): number | null =>
    samples.some(sample => of(sample) !== undefined)
      ? samples.reduce((sum, sample) => sum + (of(sample) ?? 0), 0)
      : null
  const umbrellas = total(sample => sample.umbrella)
  const embryos = total(sample => sample.embryos)
  const some = (of: (sample: Count['samples'][number]) => number | undefined): string => {
    const among = samples.filter(sample => of(sample) !== undefined).length
    if (among === samples.length) return ''
    return among === 1 ? ' (of one sample)' : ` (of ${among} samples)`
  }
  const counted = [
    `${total(sample => sample.nauplii) ?? 0} nauplii`,
    ...(umbrellas === null
      ? []
      : [`${umbrellas} umbrella${umbrellas === 1 ? '' : 's'}${some(sample => sample.umbrella)}`]),
    ...(embryos === null ? [] : [`${embryos} unhatched${some(sample => sample.embryos)}`]),
  ]
  const ml = samples.reduce((sum, sample) => sum + sample.sampleMl, 0)
  return `${counted.join(', ')} in ${Number(ml.toFixed(3))} mL`
}

/** How many nauplii a count says there are in all that was sampled: all samples pooled. */
export function naupliiByCount(
  samples: readonly Count['samples'][number][],
  from: SampledFrom,
): number | null {
  const nauplii = samples.reduce((sum, sample) => sum + sample.nauplii, 0)
  const ofVesselMl = vesselMlSampled(samples, from)
  return ofVesselMl > 0 ? (nauplii / ofVesselMl) * from.litres * 1000 : null
}

/** A number as well as a count knows it: to three digits. */
const rounded = (count: number): string => Number(count.toPrecision(3)).toLocaleString('en-US')

/** `231,000 nauplii (210,000–254,000, 95 in 100)`. */
export function estimateText({ best, ...limits }: Estimate): string {
  return `${rounded(best)} nauplii (${limitsText(limits)}, 95 in 100)`
}

/** A count's limits, everywhere in the same rounding: `568,000–757,000`. */
export function limitsText(limits: Pick<Estimate, 'low' | 'high'>): string {
  const { low, high } = roundedOut(limits)
  return `${low.toLocaleString('en-US')}–${high.toLocaleString('en-US')}`
}

/** A word of doubt before a count is kept that says more than its dose can give; empty when it can be. */
export function tooManyText(
  samples: readonly Count['samples'][number][],
  from: SampledFrom,
  cystsG: number,
): string {
  const nauplii = naupliiByCount(samples, from)
  if (nauplii === null || nauplii <= MOST_NAUPLII_PER_G * cystsG) return ''
  return `That would be ${rounded(nauplii / cystsG)} nauplii from each gram of cysts, and a gram hardly gives more than ${rounded(MOST_NAUPLII_PER_G)}. Look at the millilitres, the dilution and what was sampled again, and at what was written down of the cysts.`
}

/** The last count at the harvest that stands. */
export function harvestCount(events: readonly BatchEvent[]): Count | null {
  const counts = events.flatMap(event =>
    event.kind === 'count' && event.harvest && event.withdrawnAt === null ? [event] : [],
  )
  return counts.sort((a, b) => Date.parse(a.at) - Date.parse(b.at)).at(-1) ?? null
}

/** The first swimmers that stand, if any were seen. */
export function standingFirst(events: readonly BatchEvent[]): BatchEvent | null {
  return events.find(event => event.kind === 'first-swimmers' && event.withdrawnAt === null) ?? null
}
