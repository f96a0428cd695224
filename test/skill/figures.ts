import { binomialLimits } from './binomial.ts'
import type { Scored } from './season.ts'

/** How well one class of batches was forecast. */
export interface Figures {
  readonly name: string
  readonly batches: number
  /** Share of batches whose T90 lay in the 80 % band, with its 95 % limits. */
  readonly coverage: number
  readonly coverageLimits: readonly [number, number]
  readonly medianErrorH: number
  readonly biasH: number
  readonly bandH: number
  readonly windowHits: number
  readonly windowH: number
  /** Mean of the usable food at the moment called best, as a share of the most there was. */
  readonly foodAtBest: number
  /** How many truths lay in each tenth of their forecast. */
  readonly tenths: readonly number[]
}

export const CLASSES: readonly (readonly [name: string, of: (one: Scored) => boolean])[] = [
  ['lot never seen', one => one.countedBefore === 0],
  ['counted once', one => one.countedBefore === 1],
  ['counted twice or more', one => one.countedBefore >= 2],
  ['rooms that follow the weather', one => one.byWeather],
  ['rooms with a thermostat', one => !one.byWeather],
  ['all', () => true],
]

export function figuresOf(scored: readonly Scored[]): Figures[] {
  return CLASSES.map(([name, of]) => figures(name, scored.filter(of)))
}

function figures(name: string, of: readonly Scored[]): Figures {
  const mean = (value: (one: Scored) => number) => of.reduce((sum, one) => sum + value(one), 0) / of.length
  const tenths = Array.from({ length: 10 }, () => 0)
  for (const { place } of of) {
    const tenth = Math.min(Math.floor(place * 10), 9)
    tenths[tenth] = (tenths[tenth] ?? 0) + 1
  }
  const held = of.filter(one => one.held).length
  return {
    name,
    batches: of.length,
    coverage: held / of.length,
    coverageLimits: binomialLimits(held, of.length),
    medianErrorH: medianOf(of.map(one => Math.abs(one.errorH))),
    biasH: mean(one => one.errorH),
    bandH: mean(one => one.bandH),
    windowHits: mean(one => Number(one.windowHit)),
    windowH: mean(one => one.windowH),
    foodAtBest: mean(one => one.foodAtBest),
    tenths,
  }
}

export function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  const upper = sorted[half] ?? NaN
  return sorted.length % 2 === 1 ? upper : ((sorted[half - 1] ?? NaN) + upper) / 2
}

/** A table for a terminal and for Markdown. */
export function tableOf(rows: readonly Figures[]): string {
  const percent = (share: number) => (share * 100).toFixed(1)
  return [
    '| batches whose lot was | number | 80 % band holds | median error of T90 | mean error | band | window hits | window | food at "best" |',
    '| --- | --- | --- | --- | --- | --- | --- | --- | --- |',
    ...rows.map(row => {
      const limits = row.coverageLimits.map(percent).join(' to ')
      return `| ${row.name} | ${row.batches} | ${percent(row.coverage)} % (${limits}) | ${row.medianErrorH.toFixed(2)} h | ${row.biasH.toFixed(2)} h | ${row.bandH.toFixed(1)} h | ${percent(row.windowHits)} % | ${row.windowH.toFixed(1)} h | ${percent(row.foodAtBest)} % |`
    }),
  ].join('\n')
}
