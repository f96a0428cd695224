import { expect, it } from 'vitest'
import { takenBackWords } from '../../../dashboard/words/calibration.ts'

it('tells by what a probe is set right when a calibration was taken back', () => {
  const [gone, holds] = [{ withdrawnAt: '2026-11-26T05:00:00.000Z' }, { withdrawnAt: null }]
  expect(takenBackWords([gone, holds])).toMatch(/calibration before it/)
  expect(takenBackWords([gone, gone])).toMatch(/as it measures/)
})
