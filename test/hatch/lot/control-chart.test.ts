import { describe, expect, it } from 'vitest'
import { BASE_OF, controlChart, LIMITS_FROM, RUN_OF } from '../../../broker/hatch/lot/control-chart.ts'

const value = (of: number, apart = 1, at = 0) => ({ atMs: at, value: of, low: of - apart, high: of + apart })
const steady = [50, 51, 49, 50, 52, 48, 50, 51, 49, 50].map(of => value(of))

describe('a control chart', () => {
  it('has no limits with too few values, and none for no values', () => {
    expect(controlChart([]).limits).toBeNull()
    expect(controlChart(steady.slice(0, LIMITS_FROM - 1)).limits).toBeNull()
    expect(controlChart(steady.slice(0, LIMITS_FROM)).limits).not.toBeNull()
  })

  it('tells a value that is surely below its limit from one that its count leaves in doubt', () => {
    const sure = controlChart([...steady, value(30)]).values.at(-1)?.signs
    const unsure = controlChart([...steady, value(30, 25)]).values.at(-1)?.signs
    expect(sure).toEqual(['below'])
    expect(unsure).toEqual(['perhaps-below'])
    expect(controlChart([...steady, value(75)]).values.at(-1)?.signs).toEqual(['above'])
    expect(controlChart(steady).values.flatMap(each => each.signs)).toEqual([])
  })

  it('makes its limits of the first ten, so that a slow decline does not move them', () => {
    const base = Array.from({ length: BASE_OF }, (_, at) => value(50 + (at % 2)))
    const declined = [...base, ...Array.from({ length: 30 }, (_, at) => value(49 - at))]
    expect(controlChart(declined).limits).toEqual(controlChart(base).limits)
  })

  it('tells a run on one side of the mean, which begins anew when the side changes', () => {
    const low = Array.from({ length: RUN_OF }, () => value(49.5))
    const chart = controlChart([...steady, ...steady, ...low])
    expect(chart.values.at(-1)?.signs).toContain('run-low')
    expect(chart.values.at(-2)?.signs).not.toContain('run-low')
    const broken = controlChart([...steady, ...steady, ...low.slice(1), value(51), value(49.5)])
    expect(broken.values.at(-1)?.signs).toEqual([])
  })

  it('leaves batches that failed out of the limits, so that they do not hide the next', () => {
    const failed = [50, 51, 5, 50, 52, 48, 12, 51, 49, 50].map(of => value(of))
    const { limits, values } = controlChart(failed)
    expect(limits).toMatchObject({ from: 8, leftOut: 2 })
    expect(limits?.mean).toBeCloseTo((50 + 51 + 50 + 52 + 48 + 51 + 49 + 50) / 8, 9)
    expect(values.filter(({ signs }) => signs.includes('below')).map(each => each.value)).toEqual([5, 12])
  })

  it('takes no few that are alike by chance for a promise', () => {
    const alike = [50, 50, 50, 50.1, 50, 49].map(of => value(of, 0.1))
    expect(controlChart(alike).values.at(-1)?.signs).toContain('below')
    const { values, limits } = controlChart(alike, { leastSd: () => 2 })
    expect(values.at(-1)?.signs).toEqual([])
    expect(limits?.upper).toBeCloseTo((limits?.mean ?? 0) + 6, 9)
  })

  it('tells the second of three beyond the inner line, and no single one', () => {
    const { limits } = controlChart(steady)
    const low = (limits!.innerLower + limits!.lower) / 2
    const signs = (...of: readonly number[]) =>
      controlChart([...steady, ...of.map(each => value(each))]).values.at(-1)?.signs
    expect(signs(low)).toEqual([])
    expect(signs(low, 50)).toEqual([])
    expect(signs(low, 50, low)).toEqual(['two-low'])
    expect(signs(low, 50, 50, low)).toEqual([])
  })

  it('never draws a limit where no value can be, and leaves out what is no number', () => {
    const wild = [90, 10, 95, 5, 99, 20].map(of => value(of))
    expect(controlChart(wild, { greatest: 100 }).limits).toMatchObject({ lower: 0, upper: 100 })
    for (const bad of [NaN, Infinity, -Infinity])
      expect(controlChart([...steady, value(bad)]).values).toHaveLength(steady.length)
  })
})
