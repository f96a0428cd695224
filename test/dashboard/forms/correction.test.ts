import { describe, expect, it } from 'vitest'
import type { Batch } from '../../../broker/web/api/batches.ts'
import { type CorrectionText, correctionText, readCorrection } from '../../../dashboard/forms/correction.ts'

const zone = { locale: 'de-AT', timeZone: Intl.DateTimeFormat().resolvedOptions().timeZone }
const batch: Batch = {
  id: 'b1',
  vesselId: 'v1',
  startedAt: '2026-11-24T10:15:37.000Z',
  endedAt: '2026-11-25T10:15:37.000Z',
  litres: 1,
  cystsG: 2,
  salinityGpl: 25,
  lot: 'spring',
  goal: 'balanced',
  note: 'harvested',
}
const read = (typed: Partial<CorrectionText>, of = batch) =>
  readCorrection(of, { ...correctionText(of, zone), ...typed }, ['spring', 'Lake 2026-A'], zone)

describe('a correction', () => {
  it('is only what is another than before', () => {
    expect(read({}).change).toEqual({})
    expect(read({ cystsG: '2,5' }).change).toEqual({ cystsG: 2.5 })
    expect(read({ lot: 'lake 2026-a', note: ' ' }).change).toEqual({ lot: 'Lake 2026-A', note: null })
    expect(read({ lot: '' }).change).toEqual({ lot: null })
  })
  it('takes another start as it stands on the clock', () => {
    const { change, wrong } = read({
      startedAt: correctionText({ ...batch, startedAt: '2026-11-24T08:30:00.000Z' }, zone).startedAt,
    })
    expect([...wrong]).toEqual([])
    expect(change).toEqual({ startedAt: '2026-11-24T08:30:00.000Z' })
  })
  it('says beside its field what is wrong', () => {
    const { wrong } = read({ litres: '0', cystsG: 'two', salinityGpl: '-1', startedAt: '' })
    expect([...wrong.keys()]).toEqual(['litres', 'cystsG', 'salinityGpl', 'startedAt'])
  })
  it('has no end before its beginning, and none for an open batch', () => {
    expect([...read({ startedAt: '2026-11-27T10:00' }).wrong.keys()]).toEqual(['startedAt'])
    expect([...read({ endedAt: '2026-11-20T10:00' }).wrong.keys()]).toEqual(['endedAt'])
    expect(read({ startedAt: '2026-11-23T10:00' }, { ...batch, endedAt: null }).change).not.toHaveProperty(
      'endedAt',
    )
  })
})
