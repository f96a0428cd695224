import { z } from '@hono/zod-openapi'
import { Batch } from './batches.ts'
import { Device, QuarantineItem } from './devices.ts'
import { Vessel } from './vessels.ts'
import { Alarm } from './schemas.ts'

/** Lists are wrapped, so that a later version can add to them. */
export const VesselList = z.object({ vessels: z.array(Vessel) }).openapi('VesselList')
export const BatchList = z
  .object({
    batches: z.array(Batch),
    vesselNames: z
      .record(z.string(), z.string())
      .optional()
      .openapi({ description: 'What their vessels are called, by id; those that were put away among them.' }),
    counted: z
      .record(z.string(), z.object({ hatchPercentage: z.number().nullable(), naupliiPerG: z.number() }))
      .optional()
      .openapi({
        description: 'With `counted=true`: what each that was counted gave, by its id.',
      }),
  })
  .openapi('BatchList')
export const AlarmList = z.object({ alarms: z.array(Alarm) }).openapi('AlarmList')
export const DeviceList = z.object({ devices: z.array(Device) }).openapi('DeviceList')
export const QuarantineList = z.object({ quarantine: z.array(QuarantineItem) }).openapi('QuarantineList')
