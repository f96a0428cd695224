import { expect, it } from 'vitest'
import { limitWarning } from '../../../dashboard/forms/limit-warning.ts'

// FAO Fisheries Technical Paper 428, Annex 4: hatching is interrupted from 33 °C on.
it('warns of a heat limit above where hatching stops, in either unit', () => {
  const warned = (text: string, unit: 'C' | 'F') => limitWarning('water-too-hot', text, unit)
  expect(warned('40', 'C')).toMatch(/^Hatching stops above about 33 °C/)
  expect(warned('104', 'F')).toMatch(/^Hatching stops above about 91 °F/)
  expect(warned('33,1', 'C')).not.toBe('')
  expect(warned('91.5', 'F')).not.toBe('')
  for (const [text, unit] of [
    ['33', 'C'],
    ['29.4', 'C'],
    ['91.4', 'F'],
    ['85', 'F'],
    ['', 'C'],
    ['forty', 'C'],
  ] as const)
    expect(warned(text, unit)).toBe('')
  expect(limitWarning('device-silent', '180', 'C')).toBe('')
})
