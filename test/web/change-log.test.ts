import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { ChangeLog } from '../../broker/web/live/change-log.ts'

const LIMIT = 5

describe('the log of changes', () => {
  it('gives the changes after a number, or says that they are gone, whatever was held or passed over', () => {
    fc.assert(
      fc.property(fc.array(fc.boolean(), { maxLength: 40 }), fc.nat(45), (held, n) => {
        const log = new ChangeLog<number>(LIMIT)
        held.forEach((hold, i) => (hold ? log.add(i + 1) : log.pass()))
        expect(log.count).toBe(held.length)
        const numbers = held.map((_, i) => i + 1).slice(n)
        const isKnown = n <= held.length && numbers.length <= LIMIT && held.slice(n).every(hold => hold)
        expect(log.since(n)).toEqual(isKnown ? numbers : undefined)
      }),
    )
  })
})
