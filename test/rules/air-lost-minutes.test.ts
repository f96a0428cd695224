import { describe, expect, it } from 'vitest'
import type { Stage } from '../../broker/hatch/contract.ts'
import type { OxygenLeft } from '../../broker/hatch/oxygen/minutes-left.ts'
import type { VesselFacts } from '../../broker/rules/contract.ts'
import { minutesLeft } from '../../broker/rules/words.ts'
import { air, batchFacts, MINUTE, T0, tick, Watch } from './helpers.ts'

const to2 = (p10: number, p50: number, p90: number): OxygenLeft => ({
  minutesTo4: { p10: p10 / 2, p50: p50 / 2, p90: p90 / 2 },
  minutesTo2: { p10, p50, p90 },
})
function factsWith(stage: Stage, oxygen: OxygenLeft): VesselFacts {
  const facts = batchFacts(stage)
  return { ...facts, batch: { ...facts.batch!, oxygen } }
}
function textOf(facts: VesselFacts): string {
  const [raised] = new Watch(facts).tell(air(T0, 0), tick(T0 + MINUTE))
  return raised!.alarm.text
}

describe('air-lost, in minutes', () => {
  it.each(['hatching', 'harvest', 'overdue'] as const)('%s: the short end, rounded down', stage => {
    const text = textOf(factsWith(stage, to2(17.2, 22, 29)))
    expect(text).toContain('minutes count: about 15 min for this vessel, less if the air was weak before.')
    expect(text.length).toBeLessThan(360)
  })

  it.each(['soaking', 'incubating'] as const)('%s: a delay, and for how long the oxygen lasts', stage => {
    const text = textOf(factsWith(stage, to2(80, 124, 150)))
    expect(text).toContain('a delay, not a loss. The oxygen lasts about 2 h.')
    expect(text.length).toBeLessThan(360)
  })

  it('warns before the hatch of a lot that may be out early', () => {
    const text = textOf(factsWith('incubating', to2(19, 95, 140)))
    expect(text).toContain('The oxygen lasts about 1 h 30 min, or 15 min if they hatch early.')
    expect(text.length).toBeLessThan(360)
  })

  it('tells no minutes where none are known', () => {
    for (const facts of [batchFacts('harvest'), factsWith('harvest', to2(Infinity, Infinity, Infinity))]) {
      expect(textOf(facts)).toContain('minutes count. Get air')
    }
    const unhatched = textOf(factsWith('incubating', to2(Infinity, Infinity, Infinity)))
    expect(unhatched).toContain('a delay, not a loss. Look')
  })

  it('tells the minutes of the moment at which it calls again', () => {
    const watch = new Watch(factsWith('incubating', to2(40, 60, 90)))
    watch.tell(air(T0, 0), tick(T0 + MINUTE))
    watch.facts = factsWith('hatching', to2(8.9, 15, 20))
    const [again] = watch.tell(tick(T0 + 2 * MINUTE))
    expect(again!.alarm.text).toContain('about 8 min for this vessel')
  })
})

describe('minutes left', () => {
  it.each([
    [0, 'less than 1 min'],
    [0.99, 'less than 1 min'],
    [1, '1 min'],
    [9.9, '8 min'],
    [11.99, '10 min'],
    [14.9, '12 min'],
    [17.2, '15 min'],
    [59.9, '50 min'],
    [60, '1 h'],
    [89.9, '1 h 15 min'],
    [90, '1 h 30 min'],
    [179.9, '2 h 45 min'],
    [209, '3 h'],
    [215, '3.5 h'],
    [124, '2 h'],
  ])('%f is told as %s', (minutes, words) => {
    expect(minutesLeft(minutes)).toBe(words)
  })
})
