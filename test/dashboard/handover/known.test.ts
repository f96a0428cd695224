import { describe, expect, it } from 'vitest'
import { knownWords } from '../../../dashboard/handover/known.ts'

const ZONE = { locale: 'en-GB', timeZone: 'UTC' }
const NOW_MS = Date.UTC(2026, 0, 20, 12)
const batch = { vesselName: 'Cone 1', startedAt: '2026-01-10T06:40:00.000Z', cystsG: 2, lot: 'Spring tin' }

describe('a batch that is here already', () => {
  it('is told by its vessel, start and lot, and not by its id', () => {
    expect(knownWords(batch, 'own', ZONE, NOW_MS).replaceAll('\u00a0', ' ')).toBe(
      'This batch is one of your own: Cone 1, started 10 Jan 06:40, 2 g cysts of Spring tin.',
    )
  })
  it('is told without what nobody wrote down', () => {
    expect(
      knownWords({ ...batch, vesselName: undefined, lot: null }, 'guest', ZONE, NOW_MS).replaceAll(
        '\u00a0',
        ' ',
      ),
    ).toBe('This batch is here from another file: a vessel that is gone, started 10 Jan 06:40, 2 g cysts.')
  })
})
