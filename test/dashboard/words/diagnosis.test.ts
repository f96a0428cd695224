import { describe, expect, it } from 'vitest'
import { balanceText, costText, sureText } from '../../../dashboard/words/diagnosis.ts'

const none = { p10: 0, p50: 0, p90: 0 }
const cost = (foodPoints: typeof none, laterH = none) => ({ cost: { foodPoints, laterH, hatchPoints: none } })

describe('the words of a diagnosis', () => {
  it('say how sure, and never that it is certain', () => {
    expect(sureText({ sure: 'very likely', probability: 0.86 })).toBe('very likely (86 %)')
    expect(sureText({ sure: 'as good as certain', probability: 0.999 })).toBe('as good as certain (99 %)')
  })

  it('say what it took, with what it may have been', () => {
    expect(costText(cost({ p10: 19.6, p50: 32, p90: 50 }))).toBe(
      'It took about 32 of 100 points of the hatch (20 to 50).',
    )
    expect(costText(cost(none, { p10: 3.04, p50: 3.5, p90: 12.4 }))).toBe('It took about 3.5 h (3 to 12).')
    expect(costText(cost({ p10: -3, p50: 8, p90: 14 }, { p10: 1, p50: 2, p90: 3 }))).toBe(
      'It took about 8 of 100 points of the hatch (0 to 14), and about 2 h (1 to 3).',
    )
  })

  it('say nothing of what took nothing', () => {
    expect(costText(cost(none))).toBe('')
  })

  it('say what is left over', () => {
    const balance = {
      without: { p10: 60, p50: 72, p90: 80 },
      expected: { p10: 40, p50: 50, p90: 60 },
      counted: { low: 20, best: 25, high: 30 },
    }
    expect(balanceText({ ...balance, unexplained: { p10: -36, p50: -25, p90: -14 } })).toContain(
      '25 of them nothing explains',
    )
    expect(balanceText({ ...balance, unexplained: { p10: -30, p50: -10, p90: 5 } })).toContain(
      'explain the difference',
    )
    expect(balanceText({ ...balance, unexplained: { p10: 4, p50: 9, p90: 15 } })).toContain('9 more than')
    expect(balanceText({ ...balance, counted: null, unexplained: null })).toBe('')
  })
})
