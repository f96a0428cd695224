import { describe, expect, it } from 'vitest'
import { scenarioNamed } from '../../sim/scenarios/index.ts'
import { runVirtual } from '../../sim/virtual.ts'

const samplesOf = (seed: number, name = 'lamp-runaway', lot?: 'drawn') => {
  const lines: string[] = []
  runVirtual(scenarioNamed(name), {
    hours: 20,
    seed,
    stepS: 60,
    ...(lot ? { lot } : {}),
    onSample: ({ truth, ...sample }) => lines.push(JSON.stringify({ ...sample, truth: truth() })),
  })
  return lines
}

describe('a virtual run', () => {
  it('is the same for the same seed, and another for another', () => {
    expect(samplesOf(7)).toEqual(samplesOf(7))
    expect(samplesOf(8)).not.toEqual(samplesOf(7))
    expect(samplesOf(7, 'lamp-runaway', 'drawn')).toEqual(samplesOf(7, 'lamp-runaway', 'drawn'))
  })

  it('has the same room and sensors whatever else goes wrong, up to the moment it does', () => {
    expect(samplesOf(7, 'lamp-runaway').slice(0, 599)).toEqual(samplesOf(7, 'healthy').slice(0, 599))
  })

  it('samples at every step, to the end', () => {
    const at: number[] = []
    const { end, world } = runVirtual(scenarioNamed('healthy'), {
      hours: 1,
      seed: 1,
      stepS: 10,
      onSample: ({ atS }) => at.push(atS),
    })
    expect(at).toEqual(Array.from({ length: 360 }, (_, i) => (i + 1) * 10))
    expect(end.hours).toBeCloseTo(1, 9)
    expect(world.hours).toBeCloseTo(1, 9)
  })

  it('gives the same hatch at any step', () => {
    const [fine, coarse] = [10, 120].map(stepS =>
      runVirtual(scenarioNamed('healthy'), { hours: 36, seed: 4, stepS, probeOffsetC: 0 }),
    )
    expect(Math.abs(fine!.t10H! - coarse!.t10H!)).toBeLessThan(0.25)
    expect(Math.abs(fine!.t90H! - coarse!.t90H!)).toBeLessThan(0.25)
  })

  it('lots that nobody knows hatch at very different times', () => {
    const t50 = Array.from({ length: 60 }, (_, seed) =>
      runVirtual(scenarioNamed('healthy'), {
        hours: 48,
        seed,
        stepS: 300,
        lot: 'drawn',
      }).world.population.hatchHour(0.5)!,
    )
    expect(Math.max(...t50) / Math.min(...t50)).toBeGreaterThan(1.5)
  })

  it('refuses hours and steps that are none', () => {
    for (const hours of [NaN, Infinity, -1]) {
      expect(() => runVirtual(scenarioNamed('healthy'), { hours, seed: 1, stepS: 10 })).toThrow(
        /^Cannot run a virtual vessel: hours must be 0 to 1000/,
      )
    }
    for (const stepS of [NaN, 0, -1]) {
      expect(() => runVirtual(scenarioNamed('healthy'), { hours: 1, seed: 1, stepS })).toThrow(
        /^Cannot run a virtual vessel: the step must be above 0 s/,
      )
    }
  })
})
