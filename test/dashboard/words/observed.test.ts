import { describe, expect, it } from 'vitest'
import type { BatchEvent } from '../../../broker/web/api/events.ts'
import { seenText } from '../../../dashboard/words/seen.ts'

const kept = { id: 'e', batchId: 'b', at: '', recordedAt: '', by: 'Ann', withdrawnAt: null }
const text = (event: object): string => seenText({ ...kept, ...event } as BatchEvent)

describe('what was seen, measured or done, in a line', () => {
  it.each([
    [{ kind: 'ring-knocked-down' }, 'Ring of cysts knocked down'],
    [{ kind: 'leak', words: 'at the cap' }, 'A leak: at the cap'],
    [{ kind: 'ph', ph: 8.2 }, 'pH 8.2'],
    [{ kind: 'salinity', salinityGpl: 26, how: 'refractometer' }, 'Salinity 26 g/L by refractometer'],
    [{ kind: 'temperature', waterC: 26.8 }, 'Water 26.8 °C (80.2 °F) by a thermometer in the hand'],
    [{ kind: 'taken', for: 'held', nauplii: 120_000, share: 0.4 }, 'Put in the cold 120,000 nauplii, 40 %'],
    [{ kind: 'taken', for: 'fed', nauplii: null, share: null }, 'Fed'],
    [{ kind: 'taken', for: 'discarded', nauplii: null, share: 1 }, 'Discarded 100 %'],
    [{ kind: 'set-up', steps: [{ step: 'air', at: '' }] }, 'Set up in 1 step'],
    [{ kind: 'corrected', before: {}, after: { lot: 'x', cystsG: 2 } }, 'Corrected the lot, the cysts'],
  ])('%o', (event, expected) => expect(text(event).replaceAll('\u00a0', ' ')).toBe(expected))
})
