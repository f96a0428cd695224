import type { Calibrating, CalibrationRecord } from '../../broker/room/calibrating.ts'
import { RoomError, RoomErrorKind } from '../../broker/room/contract.ts'

/** A probe that stands in ice at 0.3 °C for ever; what is made of it is kept. */
export function fakeCalibrating(): Calibrating & { readonly records: CalibrationRecord[] } {
  const records: CalibrationRecord[] = []
  const rest = { meanC: 0.3, spreadC: 0.02, slopeCPerMin: 0, count: 12, fromMs: 0, toMs: 120_000 }
  return {
    records,
    look: async () => ({
      newest: { atMs: 120_000, value: 0.3, quality: 'good' },
      steadiness: { ...rest, steady: true, stillForMs: 120_000, waitMs: 0 },
      assignedTo: null,
      correction: null,
    }),
    history: () => records.toReversed(),
    async reckon(_probe, points) {
      if (points.some(({ referenceC = 0 }) => referenceC > 5))
        throw new RoomError(RoomErrorKind.invalid, 'Cannot calibrate: too far', 'points.0')
      const taken = points.map(({ reference, referenceC = 0, referencePlusMinusC = 0.1, fromMs, toMs }) => ({
        reference,
        referenceC,
        referencePlusMinusC,
        probeC: 0.3,
        spreadC: 0.02,
        count: 12,
        fromMs,
        toMs,
      }))
      return { gain: 1, offset: -0.3, residualC: 0, uncertaintyC: 0.1, points: taken }
    },
    async keep(probe, points, by) {
      const made = await this.reckon(probe, points)
      const record = { ...made, ...probe, id: `c${records.length}`, atMs: 120_000, by, withdrawnAtMs: null }
      records.push(record)
      return record
    },
    async withdraw(id) {
      const at = records.findIndex(each => each.id === id)
      const record = records[at]
      if (!record) throw new RoomError(RoomErrorKind.notFound, 'Cannot find calibration')
      return (records[at] = { ...record, withdrawnAtMs: 130_000 })
    },
  }
}
