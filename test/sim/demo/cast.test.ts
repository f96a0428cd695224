import { describe, expect, it } from 'vitest'
import { demoCast, demoTimes, SPARE_DEVICE, SPARE_SCENARIO } from '../../../sim/demo/cast.ts'
import { World } from '../../../sim/world.ts'

const SPEEDS = [1, 60, 3600]
const HOURS = [0, 7.5, 21]

describe.each(SPEEDS)('the demo at speed %i', speed => {
  const times = demoTimes(speed)

  it.each(HOURS)('begun at %d o’clock has its hot vessel pass 29.4 °C when it says', hourOfDay => {
    const { scenario, seed, ageH } = demoCast(times, hourOfDay).find(({ name }) => name === 'Cone 5 corner')!
    const world = new World(scenario, { seed, probeOffsetC: 0 })
    while (world.hours < ageH) world.step(30)
    expect(world.water.bottomC).toBeLessThan(29.4)
    while (world.water.bottomC < 29.4) world.step(Math.max(2, Math.min(60, speed)))
    const offH = world.hours - ageH - times.tooHotH
    // Half a minute for whoever watches, and never more than two of the story's own.
    expect(Math.abs(offH)).toBeLessThan(2 / 60)
  })

  it('has too little air in its low vessel when it says, with most of it hatched', () => {
    const { scenario, seed, ageH } = demoCast(times, 12).find(({ name }) => name === 'Cone 6 low shelf')!
    const world = new World(scenario, { seed })
    const airAt = (h: number) => {
      while (world.hours < h) world.step(30)
      return world.airLpm / scenario.litres
    }
    expect(airAt(ageH + 0.9 * times.pumpFadesH)).toBe(0.5)
    // 0.05 litres a minute for each litre: common practice, no source.
    expect(airAt(ageH + 0.9 * times.airLostH)).toBeGreaterThan(0.05)
    expect(airAt(ageH + 1.05 * times.airLostH)).toBeLessThan(0.05)
    expect(world.truth().hatchedShare).toBeGreaterThan(0.4)
  })
})

describe('the demo’s vessels', () => {
  const cast = demoCast(demoTimes(1), 12)
  const hatchedAtStart = (name: string) => {
    const { scenario, seed, ageH } = cast.find(vessel => vessel.name === name)!
    const world = new World(scenario, { seed })
    while (world.hours < ageH) world.step(60)
    return world.truth().hatchedShare
  }

  it('are where their words say', () => {
    expect(hatchedAtStart('Cone 1 window')).toBe(0)
    expect(hatchedAtStart('Cone 2 window')).toBe(0)
    expect(hatchedAtStart('Cone 3 shelf')).toBeGreaterThan(0.1)
    expect(hatchedAtStart('Cone 3 shelf')).toBeLessThan(0.6)
    expect(hatchedAtStart('Cone 4 shelf')).toBeGreaterThan(0.75)
  })

  it('have names and channels of their own', () => {
    expect(new Set(cast.map(({ name }) => name)).size).toBe(cast.length)
    expect(new Set(cast.map(({ device, prefix }) => `${device}/${prefix}`)).size).toBe(cast.length)
    expect(cast.some(({ device }) => device === SPARE_DEVICE)).toBe(false)
  })

  it('leave a spare device that measures a bench', () => {
    const world = new World(SPARE_SCENARIO, { seed: 1 })
    for (let i = 0; i < 120; i++) world.step(60)
    const { waterC, roomC, airLpm } = world.measure()
    expect(Math.abs(waterC - roomC)).toBeLessThan(3)
    expect(airLpm).toBeLessThan(0.05)
    expect(world.truth().hatchedShare).toBe(0)
  })
})
