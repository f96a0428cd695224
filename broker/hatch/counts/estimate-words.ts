import type { Dispersion } from './dispersion.ts'
import { indexToUse, Mixing } from './dispersion.ts'
import type { Interval } from './interval.ts'
import type { MoreSamples } from './precision.ts'
import { roundedOut } from './rounded-out.ts'

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
export function estimateWords(nauplii: Interval, more: MoreSamples, dispersion: Dispersion): string {
  // More samples do not help where each tells of another depth.
  const next = dispersion.verdict === Mixing.unmixed ? '' : `; ${whatNext(more)}`
  return `${howMany(nauplii, dispersion)}${next}.${onMixing(dispersion)}`
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

function onMixing({ verdict, freedom }: Dispersion): string {
  switch (verdict) {
    case Mixing.unmixed:
      return ' The samples differ far more than those of a mixed vessel: mix it well and count again.'
    case Mixing.doubtful:
      return ' The samples differ more than they should: mix the vessel before the next.'
    case Mixing.tooFew:
      return freedom === 0 ? ' One sample alone cannot show whether the vessel was mixed.' : ''
    case Mixing.mixed:
      return ''
  }
}

/** `121,000` */
function grouped(count: number): string {
  return count.toLocaleString('en-US')
}
