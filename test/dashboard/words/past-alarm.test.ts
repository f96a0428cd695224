import { expect, it } from 'vitest'
import type { JournalEntry } from '../../../broker/web/api/journal.ts'
import { pastWords } from '../../../dashboard/words/past-alarm.ts'
import { alarm, iso, NOW_MS } from '../room.ts'

it('tells a warning as it was called for, and that it came true', () => {
  const warning = alarm({ rule: 'water-heading-hot', value: 0, text: 'It is too hot.' })
  const step = { at: iso(NOW_MS), state: 'unacknowledged', calls: false, by: null } as const
  const life: JournalEntry = {
    alarm: warning,
    came: 1,
    because: null,
    told: [],
    steps: [
      { ...step, reason: 'heading-for-limit', calls: true, says: 'It crosses its limit in about 12 min.' },
      { ...step, reason: 'above-limit', says: 'It is too hot.' },
    ],
  }
  expect(pastWords(warning, life)).toEqual({ text: 'It crosses its limit in about 12 min.', came: true })
  // What is not known is not told in the words of another alarm.
  expect(pastWords(warning, undefined)).toEqual({ text: '', came: true })
  const cooled = { ...warning, value: 9, text: 'It goes no further.' }
  expect(pastWords(cooled, undefined)).toEqual({ text: 'It goes no further.', came: false })
  expect(pastWords(cooled, life).came).toBe(true)
  expect(pastWords(alarm({ text: 'No air.' }), life)).toEqual({ text: 'No air.', came: false })
})
