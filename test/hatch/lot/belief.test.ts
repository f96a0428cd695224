import { describe, expect, it } from 'vitest'
import type { LotBelief } from '../../../broker/hatch/contract.ts'
import { lotBelief } from '../../../broker/hatch/lot/belief.ts'
import { casesOf, LOT_CASES } from '../../../broker/hatch/lot/cases.ts'
import { MOST_BATCHES } from '../../../broker/hatch/lot/evidence.ts'
import { lotMedianBand, unseenLot } from '../../../broker/hatch/lot/lot.ts'
import { requirementOf } from '../../../broker/hatch/population/population.ts'
import { seededRandom } from '../../../sim/random.ts'
import { AT, at, batchOf, counted, DAY_MS, firstSeen, livedHistory } from './lots.ts'

const lot = { medianDegH: 330, sigma: 0.14, hatches: 0.8 }
const width = ({ lnLow, lnHigh }: LotBelief) => lnHigh - lnLow
const NEXT = AT + 200 * DAY_MS

describe('a lot of which nothing was seen', () => {
  it('has the published band of -25 % and +60 %, batches and all', () => {
    const { p10, p50, p90 } = lotMedianBand(lotBelief([], null, AT))
    expect(Math.abs(p50 / unseenLot.medianDegH - 1)).toBeLessThan(0.03)
    expect(Math.abs(p10 / p50 / 0.75 - 1)).toBeLessThan(0.03)
    expect(Math.abs(p90 / p50 / 1.6 - 1)).toBeLessThan(0.03)
  })

  it('stays so with batches of which nothing was written down', () => {
    const nothing = [batchOf(AT, []), batchOf(AT + DAY_MS, [])]
    expect(lotBelief(nothing, batchOf(AT + 3 * DAY_MS, []), AT + 3 * DAY_MS)).toEqual(lotBelief([], null, AT))
  })

  it('is cut into equally likely cases that say the same', () => {
    const belief = lotBelief([], null, AT)
    const medians = casesOf(belief)
      .map(one => one.medianDegH)
      .sort((a, b) => a - b)
    expect(medians).toHaveLength(LOT_CASES)
    expect(medians[LOT_CASES >> 1]! / belief.medianDegH).toBeCloseTo(1, 2)
    const below = medians.filter(one => one < belief.medianDegH * Math.exp(belief.lnLow)).length
    expect(Math.abs(below / LOT_CASES - 0.1)).toBeLessThan(0.02)
  })
})

describe('first swimmers', () => {
  const seenAt = (degH: number) => lotBelief([], batchOf(AT, [firstSeen(AT, degH)]), AT)
  const unseen = lotBelief([], null, AT)

  it('seen early rule slow lots out', () => {
    const early = lotMedianBand(seenAt(190))
    expect(early.p90).toBeLessThan(unseenLot.medianDegH)
    expect(early.p50).toBeLessThan(lotMedianBand(unseen).p50 * 0.9)
  })

  it('seen late do not rule fast lots out as early ones do slow lots: people look now and then', () => {
    // Half as late again as expected, and by the same factor early.
    const middle = unseenLot.medianDegH * Math.exp(-2 * 0.142)
    const early = seenAt(middle / 1.35)
    const late = seenAt(middle * 1.35)
    expect(late.lnLow / late.lnHigh).toBeLessThan(-1.2)
    expect(Math.abs(early.lnLow)).toBeLessThan(Math.abs(late.lnLow))
  })

  it('make it later the later they are seen', () => {
    const medians = [170, 200, 230, 260, 300, 340].map(degH => seenAt(degH).medianDegH)
    expect(medians).toEqual([...medians].sort((a, b) => a - b))
  })

  it('pull a forecast that did not expect them yet', () => {
    const slow = livedHistory({ medianDegH: 400, sigma: 0.14, hatches: 0.8 }, 3, 4)
    const startedAtMs = AT + 10 * DAY_MS
    const before = lotBelief(slow, batchOf(startedAtMs, []), startedAtMs)
    const seen = lotBelief(slow, batchOf(startedAtMs, [firstSeen(startedAtMs, 230)]), startedAtMs)
    expect(seen.medianDegH).toBeLessThan(before.medianDegH * 0.93)
  })
})

describe('counts', () => {
  it('of all stages, when all is over, give the share that hatches as a beta-binomial reckoning does', () => {
    // 150 of 200: far past the last hatch nothing else is in doubt. Reckoned anew by a fine sum over ln odds: the unseen lot's
    // normal belief (middle 0.98, 0.8), what batches differ by (0.3, and one in fourteen unlucky by -1.2 ± 1), and the
    // binomial with what 200 drawn from a vessel are worth: 200 / (1 + 200 × 0.06²).
    const belief = lotBelief(
      [],
      batchOf(AT, [counted(AT, 900, { nauplii: 150, umbrella: 0, embryos: 50 })]),
      AT,
    )
    const worth = 1 / (1 + 200 * 0.06 ** 2)
    const normal = (x: number, mean: number, sd: number) => Math.exp(-(((x - mean) / sd) ** 2) / 2) / sd
    const middle = Math.log(unseenLot.hatchShare / (1 - unseenLot.hatchShare))
    const odds = Array.from({ length: 700 }, (_, i) => -3.2 + i * 0.01)
    const weight = odds.map(x => {
      const p = 1 / (1 + Math.exp(-x))
      const prior =
        0.92 * normal(x, middle, Math.hypot(0.8, 0.3)) + 0.07 * normal(x, middle - 1.2, Math.hypot(0.8, 1))
      return prior * Math.exp(worth * (150 * Math.log(p) + 50 * Math.log(1 - p)))
    })
    const total = weight.reduce((a, b) => a + b)
    const quantile = (share: number) => {
      let sum = 0
      const at = weight.findIndex(one => (sum += one) >= share * total)
      return 1 / (1 + Math.exp(-odds[at]!))
    }
    expect(Math.abs(belief.hatch!.p50 - quantile(0.5))).toBeLessThan(0.015)
    expect(Math.abs(belief.hatch!.p10 - quantile(0.1))).toBeLessThan(0.03)
    expect(Math.abs(belief.hatch!.p90 - quantile(0.9))).toBeLessThan(0.03)
  })

  it('midway tell when half are out', () => {
    const midway = counted(AT, 360, { nauplii: 300, umbrella: 100, embryos: 360, harvest: false })
    const harvest = counted(AT, 800, { nauplii: 610, umbrella: 0, embryos: 150 })
    const belief = lotBelief([], batchOf(AT, [midway, harvest]), AT)
    expect(Math.abs(belief.medianDegH / 360 - 1)).toBeLessThan(0.04)
    expect(width(belief)).toBeLessThan(0.12)
  })

  it('of nauplii alone know the yield from the dose, less surely', () => {
    // 2 g in a litre, 1.5 ml: 252,678 cysts in a gram make 758 cysts in the samples.
    const alone = lotBelief([], batchOf(AT, [counted(AT, 900, { nauplii: 455 })]), AT)
    const staged = lotBelief(
      [],
      batchOf(AT, [counted(AT, 900, { nauplii: 455, umbrella: 0, embryos: 303 })]),
      AT,
    )
    // Dose and volumes are good to some 15 % of the share; what is believed of any lot pulls the rest.
    expect(Math.abs(alone.hatchShare - 0.6)).toBeLessThan(0.15 * 0.6)
    expect(Math.abs(staged.hatchShare - 0.6)).toBeLessThan(0.04)
    const spread = ({ hatch }: LotBelief) => hatch!.p90 - hatch!.p10
    expect(spread(staged)).toBeLessThan(spread(alone))
    expect(spread(alone)).toBeLessThan(spread(lotBelief([], null, AT)))
  })

  it('of nauplii and umbrellas tell how far the hatch is, and nothing of the share', () => {
    const after = (umbrella: number) =>
      lotBelief([], batchOf(AT, [counted(AT, 330, { nauplii: 300, umbrella, harvest: false })]), AT)
    const unseen = lotBelief([], null, AT)
    // The more still hang in their shells, the slower the lot.
    const medians = [0, 30, 90, 200].map(umbrella => after(umbrella).medianDegH)
    expect(medians).toEqual([...medians].sort((a, b) => a - b))
    expect(medians[3]! / medians[0]!).toBeGreaterThan(1.15)
    expect(Math.abs(after(90).hatchShare - unseen.hatchShare)).toBeLessThan(0.01)
  })

  it('of nothing at all, late, say that it hardly hatches', () => {
    const dud = batchOf(AT, [counted(AT, 900, { nauplii: 0 })])
    expect(lotBelief([], dud, AT).hatchShare).toBeLessThan(0.1)
    expect(lotBelief(livedHistory(lot, 3, 2, AT - 10 * DAY_MS), dud, AT).hatch!.p90).toBeLessThan(0.1)
    const belief = lotBelief([], batchOf(AT, [counted(AT, 60, { nauplii: 0, harvest: false })]), AT)
    expect(Math.abs(belief.medianDegH / unseenLot.medianDegH - 1)).toBeLessThan(0.05)
  })
})

describe('a lot whose batches were counted', () => {
  it('is known the better the more of them there were', () => {
    const widths = [0, 1, 2, 5].map(n => width(lotBelief(livedHistory(lot, n, 7), null, AT + 2 * n * DAY_MS)))
    expect(widths).toEqual([...widths].sort((a, b) => b - a))
    expect(widths[2]).toBeLessThan(widths[0]! / 3)
  })

  it('is believed to be what it is, as often as is said, over lots drawn one embryo at a time', () => {
    let held = 0
    const lots = 60
    for (let seed = 0; seed < lots; seed++) {
      const random = seededRandom(seed)
      const made = {
        medianDegH: unseenLot.medianDegH * Math.exp(0.2 * random.normal()),
        sigma: 0.142 * Math.exp(0.15 * random.normal()),
        hatches: 0.6 + 0.3 * random.uniform(),
      }
      const belief = lotBelief(livedHistory(made, 3, seed), null, AT + 7 * DAY_MS)
      const ofBatch = Math.log(made.medianDegH) + 0.03 * random.fork('next').normal()
      const t90 = ofBatch + 1.2816 * made.sigma
      const believed = casesOf(belief)
        .map(one => Math.log(requirementOf(one, 0.9)))
        .sort((a, b) => a - b)
      if (t90 >= believed[6]! && t90 <= believed[LOT_CASES - 7]!) held++
    }
    // Eight in ten are meant; binomial limits of 60 at 99.9 %: 37 and 58.
    expect(held).toBeGreaterThanOrEqual(37)
    expect(held).toBeLessThanOrEqual(58)
  })

  it('is the same in whatever order its batches are told', () => {
    const history = livedHistory(lot, 6, 3)
    expect(lotBelief([...history].reverse(), null, NEXT)).toEqual(lotBelief(history, null, NEXT))
  })

  it('is judged by its newest batches only', () => {
    const old = livedHistory({ ...lot, medianDegH: 500 }, 10, 1)
    const recent = livedHistory(lot, MOST_BATCHES, 2, AT + 30 * DAY_MS)
    expect(lotBelief([...old, ...recent], null, NEXT)).toEqual(lotBelief(recent, null, NEXT))
  })

  it('is known less surely after storage, and never so badly that it is another', () => {
    const history = livedHistory(lot, 4, 5)
    const months = [0, 3, 12, 25, 240].map(months =>
      lotBelief(history, null, AT + 8 * DAY_MS + months * 30 * DAY_MS),
    )
    const widths = months.map(width)
    expect(widths).toEqual([...widths].sort((a, b) => a - b))
    expect(widths[2]).toBeGreaterThan(widths[0]! * 1.3)
    expect(widths[4]).toBe(widths[3])
    for (const belief of months)
      expect(Math.abs(belief.medianDegH / months[0]!.medianDegH - 1)).toBeLessThan(0.03)
  })

  it('is not thrown over by one odd batch, and follows two', () => {
    const history = livedHistory(lot, 6, 8)
    const odd = livedHistory({ ...lot, hatches: 0.25 }, 2, 9, AT + 20 * DAY_MS)
    const [one, two] = [odd.slice(0, 1), odd].map(more =>
      lotBelief([...history, ...more], null, AT + 30 * DAY_MS),
    )
    expect(one!.hatchShare).toBeGreaterThan(0.7)
    expect(two!.hatchShare).toBeLessThan(0.45)
  })

  it('is moved little by one poor count of nauplii alone, however few lots were seen before, and by two', () => {
    // 2 g in a litre: some 600 nauplii in 1.5 ml when eight in ten hatch. One of ten, a hundred, and three times as many.
    const poorAt = AT + 20 * DAY_MS
    const poor = [60, 6, 1800].map(nauplii => batchOf(poorAt, [counted(poorAt, 350, { nauplii })]))
    for (const batches of [0, 1, 6]) {
      const history = livedHistory(lot, batches, 8)
      const before = lotBelief(history, null, poorAt)
      for (const one of poor) {
        const after = lotBelief([...history, one], null, poorAt + DAY_MS)
        const moved = after.medianDegH / before.medianDegH
        expect(moved, `${batches} before`).toBeGreaterThan(0.8)
        expect(moved, `${batches} before`).toBeLessThan(1.25)
        if (batches > 0 && one !== poor[1])
          expect(Math.abs(after.hatchShare - before.hatchShare)).toBeLessThan(0.2)
      }
    }
    const [twice] = poor.map(one =>
      lotBelief(
        [
          ...livedHistory(lot, 6, 8),
          one,
          {
            ...one,
            startedAtMs: poorAt + DAY_MS,
            items: one.items.map(item => ({ ...item, atMs: item.atMs + DAY_MS })),
          },
        ],
        null,
        poorAt + 2 * DAY_MS,
      ),
    )
    expect(twice!.hatchShare).toBeLessThan(0.45)
  })

  it('is known less well from batches whose development is in doubt', () => {
    const history = livedHistory(lot, 3, 6)
    const doubtful = history.map(batch => ({
      ...batch,
      items: batch.items.map(item => ({ ...item, degHSd: 40 })),
    }))
    expect(width(lotBelief(doubtful, null, NEXT))).toBeGreaterThan(
      1.2 * width(lotBelief(history, null, NEXT)),
    )
    const hopeless = history.map(batch => ({
      ...batch,
      items: batch.items.map(item => ({ ...item, degHSd: 1e6 })),
    }))
    expect(width(lotBelief(hopeless, null, NEXT))).toBeGreaterThan(width(lotBelief(doubtful, null, NEXT)))
    const current = { ...batchOf(NEXT, [{ ...firstSeen(NEXT, 260), degHSd: 12 }]) }
    expect(lotBelief(history, current, NEXT).heldDegHSd).toBe(12)
  })

  it('passes over what cannot have been seen', () => {
    const sound = livedHistory(lot, 2, 6)
    const first = sound[0]!
    const wrong = [NaN, Infinity, -1].flatMap(value => [
      { kind: 'first-swimmers' as const, ...at(first.startedAtMs, 300), degH: value },
      counted(first.startedAtMs, 300, { nauplii: value }),
      { ...counted(first.startedAtMs, 300, { nauplii: 5 }), sampledMl: value === Infinity ? 0 : value },
      { ...firstSeen(first.startedAtMs, 300), atMs: first.startedAtMs - 1 },
    ])
    const spoilt = [{ ...first, items: [...wrong, ...first.items] }, sound[1]!]
    expect(lotBelief(spoilt, null, NEXT)).toEqual(lotBelief(sound, null, NEXT))
  })
})
