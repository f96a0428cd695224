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

  it('never draws a limit where no value can be, and leaves out what is no number', () => {
    const wild = [90, 10, 95, 5, 99, 20].map(of => value(of))
    expect(controlChart(wild, 100).limits).toMatchObject({ lower: 0, upper: 100 })
    for (const bad of [NaN, Infinity, -Infinity])
      expect(controlChart([...steady, value(bad)]).values).toHaveLength(steady.length)
  })
})
