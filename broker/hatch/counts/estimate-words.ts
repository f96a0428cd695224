import type { Dispersion } from './dispersion.ts'
import { indexToUse, Mixing } from './dispersion.ts'
import type { Interval } from './interval.ts'
import type { MoreSamples } from './precision.ts'
import { roundedOut } from './rounded-out.ts'

/** What the samples are of: the water of the whole vessel, or what was drawn off below. */
export type Sampled = 'vessel' | 'drawn-off'

const SMALL = [
  'no',
  'one',
  'two',
  'three',
  'four',
  'five',
  'six',
  'seven',
  'eight',
  'nine',
  'ten',
  'eleven',
  'twelve',
]

/** More samples than this nobody counts: larger ones serve better. */
const PATIENCE = 12

/** Limits that reach beyond so many times the best, because samples differ, are told in words. */
const TOO_WIDE = 2

/** `96,000-121,000 nauplii; two more samples for ±10 %.` */
export function estimateWords(
  nauplii: Interval,
  more: MoreSamples,
  dispersion: Dispersion,
  sampledFrom: Sampled = 'vessel',
): string {
  // More samples do not help where each tells of another depth.
  const next = dispersion.verdict === Mixing.unmixed ? '' : `; ${whatNext(more)}`
  return `${howMany(nauplii, dispersion)}${next}.${onMixing(dispersion, sampledFrom)}`
}

function howMany(nauplii: Interval, dispersion: Dispersion): string {
  const { low, high } = roundedOut(nauplii)
  if (nauplii.best === 0) return `No nauplii seen, so at most ${grouped(high)}`
  if (indexToUse(dispersion) > 1 && nauplii.high > TOO_WIDE * nauplii.best) {
    return `Some ${grouped(Number(nauplii.best.toPrecision(2)))} nauplii, but the limits are too wide to be of use`
  }
  return `${grouped(low)}-${grouped(high)} nauplii`
}

function whatNext({ n, forPrecision }: MoreSamples): string {
  const precision = `±${Number((100 * forPrecision).toPrecision(2))} %`
  if (n === 0) return `enough was counted for ${precision}`
  if (n === null || n > PATIENCE) return `count more and larger samples for ${precision}`
  return `${SMALL[n] ?? n} more ${n === 1 ? 'sample' : 'samples'} for ${precision}`
}

function onMixing({ verdict, freedom }: Dispersion, from: Sampled): string {
  const drawn = from === 'drawn-off'
  switch (verdict) {
    case Mixing.unmixed:
      return drawn
        ? ' The samples differ far more than those of stirred water: stir what was drawn off well and count again.'
        : ' The samples differ far more than those of a mixed vessel: mix it well and count again.'
    case Mixing.doubtful:
      return ` The samples differ more than they should: ${drawn ? 'stir what was drawn off' : 'mix the vessel'} before the next.`
    case Mixing.tooFew:
      if (freedom !== 0) return ''
      return ` One sample alone cannot show whether ${drawn ? 'what was drawn off was stirred' : 'the vessel was mixed'}.`
    case Mixing.mixed:
      return ''
  }
}

/** `121,000` */
function grouped(count: number): string {
  return count.toLocaleString('en-US')
}
