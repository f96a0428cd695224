import type { Figures } from './figures.ts'

/** What the forecast has to reach, and whether it does. */
export interface Bar {
  readonly words: string
  readonly value: number
  readonly unit: '%' | 'h'
  readonly kept: boolean
}

export function barsOf(figures: readonly Figures[]): Bar[] {
  const of = (name: string) => {
    const found = figures.find(one => one.name === name)
    if (!found) throw new Error(`Cannot judge the forecast: no figures for ${name}`)
    return found
  }
  const { coverage, windowHits } = of('all')
  const known = of('counted twice or more').medianErrorH
  const unseen = of('lot never seen').medianErrorH
  return [
    {
      words: '80 % band of T90 holds, 75 to 85 %',
      value: coverage * 100,
      unit: '%',
      kept: coverage >= 0.75 && coverage <= 0.85,
    },
    {
      words: 'median error at half-time once counted twice, at most 1 h',
      value: known,
      unit: 'h',
      kept: known <= 1,
    },
    {
      words: 'median error at half-time, lot never seen, at most 2.5 h',
      value: unseen,
      unit: 'h',
      kept: unseen <= 2.5,
    },
    {
      words: 'harvest window overlaps the true best hour, at least 90 %',
      value: windowHits * 100,
      unit: '%',
      kept: windowHits >= 0.9,
    },
  ]
}
