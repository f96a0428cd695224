import { describe, expect, it } from 'vitest'
import { SCENARIOS, scenarioNamed } from '../../sim/scenarios/index.ts'
import type { Truth } from '../../sim/truth.ts'
import { runVirtual, type VirtualSample } from '../../sim/virtual.ts'

const SEEDS = [1, 2]

const plain = new Map<number, ReturnType<typeof play>>()
/** The run in which nothing goes wrong; played once for each seed. */
function playPlain(seed: number) {
  const known = plain.get(seed) ?? play('healthy', seed)
  plain.set(seed, known)
  return known
}

/** One run, with the truth once a minute. */
function play(name: string, seed: number, hours = 36) {
  const samples: VirtualSample[] = []
  const truths: Truth[] = []
  const result = runVirtual(scenarioNamed(name), {
    hours,
    seed,
    stepS: 30,
    onSample: sample => {
      samples.push(sample)
      if (sample.atS % 60 === 0) truths.push(sample.truth())
    },
  })
  const at = (h: number) => truths.find(truth => truth.hours >= h - 1e-9)!
  const firstH = (met: (truth: Truth) => boolean) => truths.find(met)?.hours ?? Infinity
  const between = (fromH: number, toH: number) =>
    samples.filter(({ atS }) => atS >= fromH * 3600 && atS < toH * 3600)
  return { ...result, samples, truths, at, firstH, between }
}

describe.each(SEEDS)('with seed %i', seed => {
  it('healthy: stays near 27.2 °C with plenty of air and light, and hatches', () => {
    const { truths, end } = playPlain(seed)
    for (const truth of truths.filter(({ hours }) => hours > 4)) {
      expect(Math.abs(truth.bottomC - 27.2)).toBeLessThan(1.5)
      expect(truth.topC).toBeLessThan(29.4)
      expect(Math.min(truth.topOxygenMgpl, truth.bottomOxygenMgpl)).toBeGreaterThan(5)
    }
    expect(end.hatchedShare).toBeGreaterThan(0.78)
    expect(end.deadShare).toBe(0)
    // Common practice, no source: a warm batch is ready in 18 to 24 h.
    expect(end.t90H!).toBeGreaterThan(18)
    expect(end.t90H!).toBeLessThan(25)
  })

  it('lamp-runaway: passes 29.4 °C 10 to 60 min after 10 h, 33 °C within two hours, and most are dead', () => {
    const { firstH, at, end, between } = play('lamp-runaway', seed)
    const crossedH = firstH(({ bottomC }) => bottomC > 29.4)
    expect(crossedH).toBeGreaterThan(10 + 10 / 60)
    expect(crossedH).toBeLessThan(11)
    expect(at(12).bottomC).toBeGreaterThan(33)
    expect(end.deadShare).toBeGreaterThan(0.5 * end.hatchedShare)
    const lux = (samples: VirtualSample[]) =>
      samples.reduce((sum, { lightLx }) => sum + lightLx, 0) / samples.length
    expect(lux(between(10.1, 11)) / lux(between(9, 9.9))).toBeGreaterThan(2.2)
  })

  it('lamp-dead: dark at once, below 25.5 °C within two hours, near the room, hatched hours late', () => {
    const { at, between, t90H, truths } = play('lamp-dead', seed, 60)
    const undisturbed = playPlain(seed)
    expect(at(8 - 0.1).lightLx).toBeGreaterThan(2500)
    expect(at(8.1).lightLx).toBeLessThan(300)
    expect(between(7, 7.9).every(({ lightLx }) => lightLx > 2000)).toBe(true)
    expect(at(10).bottomC).toBeLessThan(25.5)
    expect(
      truths.filter(({ hours }) => hours > 20).every(({ bottomC, roomC }) => bottomC < roomC + 2.5),
    ).toBe(true)
    expect(t90H! - undisturbed.t90H!).toBeGreaterThan(4)
  })

  it('pump-stopped: parts by over 1 °C and has no oxygen below within the hour; most are dead in three', () => {
    const { at, between } = play('pump-stopped', seed)
    expect(Math.abs(at(22).topC - at(22).bottomC)).toBeLessThan(0.1)
    expect(at(23).topC - at(23).bottomC).toBeGreaterThan(1)
    expect(at(23).bottomOxygenMgpl).toBeLessThan(1)
    expect(at(22).hatchedShare).toBeGreaterThan(0.5 * 0.85)
    expect(at(25).deadShare).toBeGreaterThan(0.5 * at(25).hatchedShare)
    expect(between(22.1, 36).every(({ airLpm }) => airLpm < 0.05)).toBe(true)
  })

  it('pump-fading: a twentieth of the flow at 22 h, oxygen below 4 mg/l before 24 h and not before 12 h', () => {
    const { at, firstH } = play('pump-fading', seed)
    expect(at(12).airLpm).toBeCloseTo(0.5, 3)
    expect(at(17).airLpm).toBeCloseTo(0.5 * 0.525, 2)
    expect(at(22.1).airLpm).toBeCloseTo(0.025, 3)
    const lowH = firstH(({ bottomOxygenMgpl }) => bottomOxygenMgpl < 4)
    expect(lowH).toBeGreaterThan(12)
    expect(lowH).toBeLessThan(24)
  })

  it('probe-unplugged: -127 from 6 to 8 h, 85 for a minute, and a vessel that is well', () => {
    const { between, end, truths } = play('probe-unplugged', seed)
    expect(between(6, 8).every(({ waterC }) => waterC === -127)).toBe(true)
    expect(between(8, 8 + 0.9 / 60).every(({ waterC }) => waterC === 85)).toBe(true)
    const rest = [...between(0, 6), ...between(8.05, 36)]
    expect(rest.every(({ waterC }) => waterC > 24 && waterC < 30)).toBe(true)
    expect(truths.every(({ bottomC }) => bottomC > 24 && bottomC < 29.4)).toBe(true)
    expect(end.deadShare).toBe(0)
  })

  it('network-out: no network from 6 to 10 h, and a vessel that is well', () => {
    const { between, end } = play('network-out', seed)
    expect(between(6, 10).some(({ networkUp }) => networkUp)).toBe(false)
    expect([...between(0, 6), ...between(10, 36)].every(({ networkUp }) => networkUp)).toBe(true)
    expect(end.deadShare).toBe(0)
  })

  it('cold-room: the water is below 21 °C by 14 h, the lamp still lit, and it hatches hours late', () => {
    const { at, t90H } = play('cold-room', seed, 72)
    expect(at(14).bottomC).toBeLessThan(21)
    expect(at(14).lightLx).toBeGreaterThan(2500)
    expect(t90H! - playPlain(seed).t90H!).toBeGreaterThan(8)
  })
})

describe('a vessel that leaks', () => {
  it('runs dry by the clock of its drip, and its probe then tells of the room', () => {
    const { at, between, end } = play('leak', SEEDS[0]!, 18)
    expect(at(9).litres).toBeGreaterThan(0.9)
    // A sixth of a litre an hour.
    expect(at(9).litres - at(12).litres).toBeCloseTo(0.5, 1)
    expect(end.litres).toBeLessThan(0.02)
    // What ran out took its salt along: what is left is not much stronger for it.
    expect(at(12).salinityGpl / at(9).salinityGpl).toBeLessThan(1.1)
    expect(between(8, 9).every(({ levelShare }) => levelShare! > 0.8 && levelShare! < 1.1)).toBe(true)
    expect(between(11.9, 12.1).every(({ levelShare }) => levelShare! > 0.3 && levelShare! < 0.6)).toBe(true)
    expect(between(17, 18).every(({ waterC }) => waterC < 25)).toBe(true)
  })

  it('is told by no sensor where there is none', () => {
    expect(play('healthy', SEEDS[0]!, 1).between(0, 1)[0]!.levelShare).toBeNull()
  })
})

describe('scenarios', () => {
  it('are all known by their names, and say what happens', () => {
    expect(Object.keys(SCENARIOS).sort()).toEqual([
      'cold-room',
      'healthy',
      'lamp-dead',
      'lamp-relay',
      'lamp-runaway',
      'leak',
      'network-out',
      'probe-unplugged',
      'pump-fading',
      'pump-stopped',
    ])
    for (const [name, { words }] of Object.entries(SCENARIOS)) {
      expect(words.length, name).toBeGreaterThan(50)
    }
  })

  it('that nobody wrote are refused', () => {
    for (const name of ['', 'HEALTHY', 'toString', '__proto__']) {
      expect(() => scenarioNamed(name)).toThrow(/^Cannot play scenario: it must be one of healthy, /)
    }
  })
})
