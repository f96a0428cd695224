import { describe, expect, it } from 'vitest'
import { PATTERNS } from '../../../dashboard/alarm/tones.ts'
import { patternText, shakeText } from '../../../dashboard/words/sound.ts'

const NUMBER: Record<string, number> = { two: 2, three: 3, four: 4, five: 5, six: 6 }

describe('how an alarm sounds, in words', () => {
  it.each(['critical', 'high', 'low'] as const)('is what is played: %s', priority => {
    const pattern = PATTERNS[priority]
    const words = patternText(priority, pattern)
    expect(NUMBER[/^(\w+) /.exec(words)![1]!], 'as many tones as are told of').toBe(pattern.tones.length)
    expect(words).toContain(`every ${pattern.everyS} s`)
    const first = pattern.tones[0]!.hz
    const last = pattern.tones.at(-1)!.hz
    expect(/\bdown\b/.test(words), 'down where it ends lower than it began').toBe(last < first)
    expect(/\bup\b/.test(words)).toBe(last > first)
  })
  it('tells long shakes from short ones, and one from several', () => {
    const shake = (...ms: number[]) => shakeText({ tones: [], everyS: 1, shake: ms })
    expect(shake(150)).toBe('one short shake')
    expect(shake(300, 120, 300)).toBe('two short shakes')
    expect(shake(200, 80, 200, 80, 500)).toBe('two short shakes and a long one')
    expect(shake(200, 80, 500, 80, 500)).toBe('one short shake and two long ones')
  })
})
