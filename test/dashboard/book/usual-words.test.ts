import { expect, it } from 'vitest'
import { cleaningDueOf, usualFromText, usualLotText } from '../../../dashboard/book/usual-words.ts'

const nameOf = (id: string) => ({ right: 'Right cone' })[id]
const tin = { name: 'My tin', gramsLeft: 40 }

it('says of the dose whose it is, by the vessel’s name', () => {
  expect(usualFromText({ from: 'last-here' }, nameOf)).toBe('Amounts as in its last batch.')
  expect(usualFromText({ from: 'last-elsewhere', elsewhere: 'right' }, nameOf)).toMatch(/, in Right cone,/)
  expect(usualFromText({ from: 'last-elsewhere', elsewhere: 'gone' }, nameOf)).not.toMatch(/undefined/)
})

it('tells a lot as the guess that it is, and asks where none was named', () => {
  const lots = ['My tin']
  expect(usualLotText({ from: 'last-here', lot: null, lots }, nameOf)).toMatch(/^That named no lot of cysts/)
  expect(usualLotText({ from: 'preset', lot: null, lots: [] }, nameOf)).toBe('')
  expect(usualLotText({ from: 'last-here', lot: tin, lotFrom: 'last-here', lots }, nameOf)).toMatch(
    /of its last/,
  )
  const from = {
    from: 'last-elsewhere',
    lot: tin,
    lotFrom: 'last-elsewhere',
    elsewhere: 'right',
    lots,
  } as const
  expect(usualLotText(from, nameOf)).toMatch(/is a guess: it was used last in Right cone\./)
  expect(usualLotText({ ...from, lotFrom: 'shelf' }, nameOf)).toMatch(/is a guess: the one to be used first/)
})

it('finds the cleaning that a vessel still waits for, of this vessel alone', () => {
  const clean = {
    id: 'a.cleaning',
    kind: 'cleaning',
    vesselId: 'left',
    batchId: 'a',
    dueAt: '2026-01-01T00:00:00.000Z',
    until: '2026-01-02T00:00:00.000Z',
    title: 'Clean Left cone',
    text: '',
    page: '/cleaning',
  } as const
  expect(cleaningDueOf([clean], 'left')?.title).toBe('Clean Left cone')
  expect(cleaningDueOf([clean], 'right')).toBeNull()
  expect(cleaningDueOf([{ ...clean, kind: 'harvest-opens' }], 'left')).toBeNull()
})
