import { describe, expect, it } from 'vitest'
import { isWeak, levelOf, LotQuality, lotQuality } from '../../../broker/hatch/lot/quality.ts'
import { lotSummary, LotVerdict } from '../../../broker/hatch/lot/summary.ts'
import { lotWords } from '../../../broker/web/lot-words.ts'
import { AT, batchOf, counted, DAY_MS, firstSeen, livedHistory } from './lots.ts'

const good = { medianDegH: 300, sigma: 0.14, hatches: 0.8 }
const later = AT + 20 * DAY_MS
const judged = (history: Parameters<typeof lotSummary>[0]) => lotSummary(history, AT + 40 * DAY_MS)

describe('lotSummary', () => {
  it('of a lot that nobody counted', () => {
    const summary = judged([])
    expect(summary).toMatchObject({
      verdict: 'unseen',
      reason: { name: 'never-observed' },
      batches: 0,
      counts: 0,
    })
    expect(summary.naupliiPerG.p10).toBeLessThan(200_000)
  })

  it('of a lot that is being learned, and of one that is known', () => {
    expect(judged([batchOf(AT, [firstSeen(AT, 250)])])).toMatchObject({
      verdict: 'learning',
      reason: { name: 'few-counts', counts: 0 },
      batches: 1,
      observations: 1,
    })
    expect(judged(livedHistory(good, 1, 2)).verdict).toBe(LotVerdict.learning)
    const known = judged(livedHistory(good, 4, 2))
    expect(known).toMatchObject({
      verdict: 'known',
      reason: { name: 'counted', counts: 4 },
      batches: 4,
      counts: 4,
    })
    expect(known.medianDegH.p10).toBeLessThan(300)
    expect(known.medianDegH.p90).toBeGreaterThan(300)
    expect(known.hatchPercentage.p10).toBeLessThan(0.8)
    expect(known.hatchPercentage.p90).toBeGreaterThan(0.8)
    // From 10 to 90 %: 300 × (e^(1.2816 × 0.14) - e^(-1.2816 × 0.14)) = 108.
    expect(known.synchronyDegH.p10).toBeLessThan(108)
    expect(known.synchronyDegH.p90).toBeGreaterThan(108)
  })

  it('says how many counts most likely hang on a slip of a volume', () => {
    const alone = (startedAtMs: number, nauplii: number) =>
      batchOf(startedAtMs, [counted(startedAtMs, 380, { nauplii })])
    // Some 600 of 760 cysts in the samples hatch; a tenth of that is what drawing off into a tenth, and not saying so, gives.
    const sound = [610, 580, 640, 560].map((nauplii, i) => alone(later + i * DAY_MS, nauplii))
    expect(judged(sound).doubted).toBe(0)
    const slipped = judged([...sound, alone(later + 5 * DAY_MS, 60)])
    expect(slipped).toMatchObject({ verdict: 'known', doubted: 1 })
    expect(lotWords(slipped)).toMatch(/One of its harvests fell below .* and weighs little in its forecasts/)
    expect(judged([alone(later, 60)]).doubted).toBe(0)
  })

  it('says what fell, from where to where, by the line that is drawn; and that it is gone only once it stayed so', () => {
    const fallen = (batches: number) => [
      ...livedHistory(good, 6, 3),
      ...livedHistory({ ...good, hatches: 0.3 }, batches, 4, later),
    ]
    const { verdict, reason, harvests } = judged(fallen(2))
    expect(verdict).toBe(LotVerdict.declining)
    if (reason.name !== 'hatches-less') throw new Error(`Cannot check the reason: got ${reason.name}`)
    expect(reason).toMatchObject({
      by: 'hatch-percentage',
      sign: 'two-low',
      onEnd: 2,
      line: harvests.chart.limits?.innerLower,
      from: harvests.chart.limits?.mean,
    })
    // Harvested at 1.15 to 1.25 of the median, of which 84 to 94 % of those that hatch are out (normal distribution, spread 0.14).
    expect(reason.from).toBeGreaterThan(0.84 * 80)
    expect(reason.from).toBeLessThan(0.945 * 80)
    expect(Math.abs(reason.to - 0.9 * 30)).toBeLessThan(8)
    expect(lotWords(judged(fallen(2)))).toMatch(/^Its last 2 harvests on end lie below \d+\u00a0% hatched/)
    expect(judged(fallen(4)).verdict).toBe(LotVerdict.goneBad)
  })

  it('blames no lot whose limits hold all its harvests, and says how far they are apart', () => {
    // What a lot of the demo's season was counted at: good batches and spoilt ones in turn.
    const percents = [59, 23, 61, 48, 36, 54, 27, 40, 51, 44, 42, 18, 32]
    const history = percents.map((percent, i) => {
      const startedAtMs = AT + 2 * i * DAY_MS
      return batchOf(startedAtMs, [
        counted(startedAtMs, 380, { nauplii: 7 * percent, umbrella: 0, embryos: 7 * (100 - percent) }),
      ])
    })
    const summary = judged(history)
    const { values, limits } = summary.harvests.chart
    expect(values.every(({ value }) => value > limits!.lower && value < limits!.upper)).toBe(true)
    expect(summary).toMatchObject({ verdict: 'known', reason: { name: 'counted' } })
    expect(lotWords(summary)).toMatch(
      /differ so much from each other, 18\u00a0% hatched to 61\u00a0% hatched, that its chart can tell little/,
    )
    // By its level it is weak all the same: 42 % in the middle, where 200,000 of 275,000 are usual (Treece 2000; Clegg).
    expect(lotQuality(summary, false)).toBe(LotQuality.weak)
    expect(lotQuality(summary, true)).toBe(LotQuality.weak)
    expect(lotWords(summary)).toMatch(
      /^42\u00a0% hatched, in the middle of its harvests, where 73\u00a0% is usual: weak/,
    )
  })

  it('calls no lot weak that hatches well, nor for a batch or two that failed by themselves', () => {
    const sound = judged(livedHistory(good, 6, 3))
    expect([isWeak(sound), lotQuality(sound, false)]).toEqual([false, LotQuality.steady])
    const failed = judged([
      ...livedHistory(good, 6, 3),
      ...livedHistory({ ...good, hatches: 0.02 }, 1, 9, later),
    ])
    expect(isWeak(failed)).toBe(false)
    expect(levelOf(judged(livedHistory(good, 2, 3)))).toBeNull()
  })

  it('calls a lot declining that hatches less, or later, than it did', () => {
    const less = [...livedHistory(good, 6, 3), ...livedHistory({ ...good, hatches: 0.58 }, 3, 4, later)]
    expect(judged(less)).toMatchObject({ verdict: 'declining', reason: { name: 'hatches-less' } })
    const slower = [...livedHistory(good, 6, 3), ...livedHistory({ ...good, medianDegH: 365 }, 3, 4, later)]
    expect(judged(slower)).toMatchObject({ verdict: 'declining', reason: { name: 'hatches-later' } })
  })

  it('notices a slow decline, of which no batch by itself is a surprise', () => {
    const history = Array.from({ length: 14 }, (_, i) =>
      livedHistory({ ...good, hatches: 0.9 - 0.035 * i }, 1, 30 + i, AT + 2 * i * DAY_MS),
    ).flat()
    expect([LotVerdict.declining, LotVerdict.goneBad]).toContain(judged(history).verdict)
  })

  it('does not call a lot bad for one unlucky batch, nor one that comes back', () => {
    const unlucky = livedHistory({ ...good, hatches: 0.2 }, 1, 5, later)
    expect(judged([...livedHistory(good, 6, 3), ...unlucky]).verdict).toBe(LotVerdict.known)
    const back = livedHistory(good, 1, 6, later + 2 * DAY_MS)
    expect(judged([...livedHistory(good, 6, 3), ...unlucky, ...back]).verdict).toBe(LotVerdict.known)
  })

  it('calls a lot bad that never hatched', () => {
    expect(judged(livedHistory({ ...good, hatches: 0.1 }, 3, 7))).toMatchObject({
      verdict: 'gone-bad',
      reason: { name: 'hardly-hatches' },
    })
  })

  it('finds nothing wrong with sound lots', () => {
    // A hundred lots of ten batches each: at 99.9 %, a rate of one in fifty gives up to 8.
    const blamed = Array.from(
      { length: 100 },
      (_, seed) => judged(livedHistory(good, 10, 1000 + seed)).verdict,
    ).filter(verdict => verdict !== LotVerdict.known)
    expect(blamed.length).toBeLessThanOrEqual(8)
  }, 60_000)
})
