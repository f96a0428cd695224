import { describe, expect, it } from 'vitest'
import { changedSince, tickedAsKey, waterNow } from '../../../dashboard/book/ticked-as.ts'

const AT = new Date(Date.UTC(2026, 10, 25, 6)).toISOString()
const cysts = (grams: string) => ({ id: 'cysts', words: `Tip in the cysts, ${grams}.` }) as const
const walk = (draft: Record<string, unknown>, ...done: string[]) => ({
  draft,
  steps: done.map(step => ({ step, at: AT })),
})

describe('a step of the set-up', () => {
  it('whose amount changed after its tick is told as it read then', () => {
    const draft = { [tickedAsKey('cysts')]: 'Tip in the cysts, 1.5 g.' }
    expect(changedSince(walk(draft, 'cysts'), cysts('2 g'))).toBe('Tip in the cysts, 1.5 g.')
    expect(changedSince(walk(draft, 'cysts'), cysts('1.5 g'))).toBeNull()
    expect(changedSince(walk(draft), cysts('2 g')), 'its tick was taken back').toBeNull()
    expect(changedSince(walk({}, 'cysts'), cysts('2 g')), 'nobody kept what it read').toBeNull()
  })

  it('that waits for the water says where it is', () => {
    const latest = { value: 24.3, at: AT, quality: 'good' } as const
    expect(waterNow(latest, 'C')).toMatch(/^The water is at 24\.3.°C now\.$/)
    expect(waterNow(latest, 'F')).toMatch(/^The water is at 75\.7.°F now\.$/)
    expect(waterNow({ ...latest, value: null }, 'C')).toBe('')
    expect(waterNow(null, 'C')).toBe('')
  })
})
