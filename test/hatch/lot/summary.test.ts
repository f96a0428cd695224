import { describe, expect, it } from 'vitest'
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
    expect(lotWords(slipped)).toMatch(/One count does not fit the others and weighs little/)
    expect(judged([alone(later, 60)]).doubted).toBe(0)
  })

  it('says what fell, from where to where, and how unlikely that is by chance', () => {
    const history = [...livedHistory(good, 6, 3), ...livedHistory({ ...good, hatches: 0.3 }, 2, 4, later)]
    const { verdict, reason } = judged(history)
    expect(verdict).toBe(LotVerdict.goneBad)
    if (reason.name !== 'hatches-less') throw new Error(`Cannot check the reason: got ${reason.name}`)
    expect(Math.abs(reason.from - 0.8)).toBeLessThan(0.05)
    expect(Math.abs(reason.to - 0.3)).toBeLessThan(0.08)
    expect(reason.batches).toBe(2)
    expect(reason.chance).toBeLessThan(0.001)
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
