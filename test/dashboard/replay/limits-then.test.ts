import { describe, expect, it } from 'vitest'
import { joined } from '../../../dashboard/replay/limits-then.ts'
import { fitting } from '../../../dashboard/curves/fitting.ts'

const hot = { value: 29.4, name: 'too hot from 29.4 °C (84.9 °F)' }
const cool = { value: 24, name: 'too cool below 24 °C (75.2 °F)' }

describe('limits that were in force', () => {
  it('are one where settings were changed in another place, and stand by themselves where they were not the same', () => {
    const lower = { value: 28.9, name: 'too hot from 28.9 °C (84 °F)' }
    expect(
      joined([
        { ...hot, toMs: 10 },
        { ...cool, toMs: 10 },
        { ...hot, fromMs: 10, toMs: 20 },
        { ...cool, fromMs: 10, toMs: 20 },
        { ...lower, fromMs: 20 },
        { ...cool, fromMs: 20 },
      ]),
    ).toEqual([
      { ...hot, toMs: 20 },
      { ...cool, toMs: Infinity },
      { ...lower, fromMs: 20 },
    ])
  })

  it('are not joined over hours in which another held', () => {
    const limits = [
      { ...hot, toMs: 10 },
      { ...hot, fromMs: 20 },
    ]
    expect(joined(limits)).toEqual(limits)
  })

  it('are named as far as there is room', () => {
    const widthOf = (text: string) => text.length
    expect(fitting(hot.name, 40, widthOf)).toBe(hot.name)
    expect(fitting(hot.name, 24, widthOf)).toBe('too hot from 29.4 °C')
    expect(fitting(hot.name, 10, widthOf)).toBe('too hot')
    expect(fitting(hot.name, 5, widthOf)).toBe('')
  })
})
