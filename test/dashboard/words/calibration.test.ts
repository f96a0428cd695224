import { expect, it } from 'vitest'
import { earlierWords, takenBackWords } from '../../../dashboard/words/calibration.ts'

it('tells by what a probe is set right when a calibration was taken back', () => {
  const [gone, holds] = [{ withdrawnAt: '2026-11-26T05:00:00.000Z' }, { withdrawnAt: null }]
  expect(takenBackWords([gone, holds])).toMatch(/calibration before it/)
  expect(takenBackWords([gone, gone])).toMatch(/as it measures/)
})

it('says which alarm comes earlier for a probe, and that none does where it measures no water', () => {
  expect(earlierWords(null)).toMatch(/^once it measures a vessel’s water/)
  expect(earlierWords({ vesselId: 'v1', role: 'water' })).toMatch(/alarm of its vessel/)
  expect(earlierWords({ vesselId: 'v1', role: 'room' })).toMatch(/^no alarm/)
})
