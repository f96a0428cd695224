import { describe, expect, it } from 'vitest'
import type { Forecast } from '../../../broker/web/api/forecast.ts'
import {
  aboutPercent,
  outText,
  percent,
  yieldText,
  yolkText,
  outAlreadyText,
} from '../../../dashboard/words/hatch.ts'
import { vessel } from '../room.ts'

const band = (p10: number, p50: number, p90: number) => ({ p10, p50, p90 })
const none = band(0, 0, 0)
const forecast = (change: Partial<Forecast>): Forecast => {
  const base = vessel().forecast
  if (!base) throw new Error('Cannot test the hatch in words: the vessel has no forecast')
  return { ...base, stagesNow: { ...base.stagesNow, umbrella: none }, ...change }
}

describe('how much is out, in words', () => {
  it('is as fine as it is known', () => {
    expect(percent(0.423, band(0.41, 0.42, 0.44))).toBe(42)
    expect(percent(0.423, band(0.38, 0.42, 0.47))).toBe(40)
    expect(aboutPercent(band(0.41, 0.42, 0.44))).toBe('42')
    expect(aboutPercent(band(0.2, 0.42, 0.64))).toBe('about 40')
  })
  it('has its band beside it', () => {
    expect(outText(forecast({ hatchedNow: band(0.25, 0.42, 0.6) }))).toBe('About 40 % out (30–60 %).')
    expect(outText(forecast({ hatchedNow: band(0.41, 0.42, 0.43) }))).toBe('42 % out (41–43 %).')
  })
  it('says nothing while nothing is out, and that all are at the end', () => {
    expect(outText(forecast({ hatchedNow: none }))).toBe('')
    expect(outText(forecast({ hatchedNow: band(0, 0.004, 0.12) }))).toMatch(/none out yet; 15 % at most/)
    expect(outText(forecast({ hatchedNow: band(0, 0.015, 0.39) }))).toMatch(/^Most likely none out yet; 40 %/)
    // A limit is never rounded below what is drawn.
    expect(outText(forecast({ hatchedNow: band(0, 0.002, 0.34) }))).toMatch(/; 40 % at most\.$/)
    expect(outText(forecast({ hatchedNow: band(0.99, 0.995, 1) }))).toBe('All are out.')
  })
  it('asks for eyes when it hardly knows', () => {
    expect(outText(forecast({ hatchedNow: band(0.0004, 0.37, 0.96) }))).toBe(
      'Perhaps 40 % out, but anything from hardly any to all: look, and write down what you see.',
    )
    expect(outText(forecast({ hatchedNow: band(0.1, 0.4, 0.8) }))).toMatch(/anything from 10 % to 80 %/)
    expect(outText(forecast({ hatchedNow: band(0.1, 0.96, 1) }))).toMatch(
      /^Perhaps nearly all out, perhaps only 10 %:/,
    )
  })
  it('speaks of umbrellas when there are many', () => {
    const stages = (p50: number) => ({
      stagesNow: { umbrella: band(p50 - 0.02, p50, p50 + 0.02), instarI: none, instarII: none },
    })
    expect(outText(forecast({ hatchedNow: none, ...stages(0.2) }))).toBe(
      '20 % hang from their shells as umbrellas.',
    )
    expect(outText(forecast({ hatchedNow: none, ...stages(0.05) }))).toBe('')
  })
})

describe('beside a tap for the first swimmers', () => {
  it('what is out already is told once it is a good part', () => {
    expect(outAlreadyText(forecast({ hatchedNow: band(0.1, 0.2, 0.4) })), 'it may be').toBe('')
    expect(outAlreadyText(forecast({ hatchedNow: band(0.3, 0.6, 0.8) }))).toBe(
      'By the forecast about 60\u00a0% are out.',
    )
    expect(outAlreadyText(forecast({ hatchedNow: band(0.1, 0.96, 1) }))).toMatch(/perhaps nearly all/)
    expect(outAlreadyText(forecast({ hatchedNow: band(0.1, 0.96, 1), reachesHatch: false }))).toBe('')
  })
})

describe('the yolk', () => {
  const at = (hatched: number, left: number, stage: Forecast['stage'] = 'harvest') =>
    yolkText(
      forecast({ hatchedNow: band(hatched, hatched, hatched), energyLeft: band(left, left, left), stage }),
    )
  it('is spoken of once some are out', () => {
    expect(at(0.05, 0.99)).toBe('')
    expect(at(0.6, 0.9)).toBe('Fed now, they still have 90 % of their yolk.')
    expect(at(0.6, 0.99)).toBe('Their yolk is as good as untouched.')
    expect(at(1, 0.7, 'overdue')).toMatch(/^Those out have 70 % of their yolk left/)
  })
})

it('gives a yield to the two digits that are known of it', () => {
  expect(yieldText(band(391_000, 523_456, 644_000))).toBe('about 520 thousand (390–640 thousand)')
  expect(yieldText(band(800_000, 1_234_000, 2_100_000))).toBe('about 1.2 million (0.8–2.1 million)')
  expect(yieldText(band(420, 870, 1300))).toBe('about 870 (420–1300)')
})
