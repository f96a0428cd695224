import { expect, it } from 'vitest'
import { emptyMemory } from '../../broker/rules/memory.ts'
import { setBackMemory, timesMoved } from '../../broker/rules/set-back.ts'

const HOUR = 3_600_000

it('moves every time, and nothing that is none, names an occurrence, or was never', () => {
  const value = {
    pendingSinceMs: 10 * HOUR,
    unknownSinceMs: null,
    value: 36,
    alarm: { raisedAtMs: 9 * HOUR, announcedAtMs: 9 * HOUR, shelvedUntilMs: 12 * HOUR, text: '36 °C' },
    all: [{ atMs: 7 * HOUR }],
  }
  expect(timesMoved(value, -3 * HOUR)).toEqual({
    pendingSinceMs: 7 * HOUR,
    unknownSinceMs: null,
    value: 36,
    alarm: { raisedAtMs: 9 * HOUR, announcedAtMs: 9 * HOUR, shelvedUntilMs: 9 * HOUR, text: '36 °C' },
    all: [{ atMs: 4 * HOUR }],
  })
})

it('leaves a memory that knows nothing as it is', () => {
  const memory = emptyMemory('v1')
  expect(setBackMemory(memory, -HOUR).clocks).toEqual(memory.clocks)
  expect(setBackMemory(memory, -HOUR).rules).toEqual(memory.rules)
})
