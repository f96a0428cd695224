import { z } from '@hono/zod-openapi'
import { HushReason } from '../../rules/hush.ts'
import { Batch } from './batches.ts'
import { Forecast } from './forecast.ts'
import { SilentAfterS } from './schema-parts.ts'
import { ChannelRef, Id, Latest, Name, Time } from './schemas.ts'

/** The same for each part that a channel may play. */
const eachRole = <Of extends z.ZodType>(of: Of) => ({
  water: of,
  'upper-water': of,
  room: of,
  air: of,
  light: of,
  level: of,
})
export const Channels = z.object(eachRole(ChannelRef.nullable())).openapi('Channels')

/** Roles left out keep what they have; `null` takes the channel away. */
export const ChangeChannels = z
  .object({
    ...eachRole(ChannelRef.nullish()),
    offsets: z
      .object({
        water: z.number().min(-10).max(10).optional(),
        'upper-water': z.number().min(-10).max(10).optional(),
        room: z.number().min(-10).max(10).optional(),
        air: z.number().min(-100).max(100).optional(),
        light: z.number().min(-10000).max(10000).optional(),
        level: z.number().min(-1).max(1).optional(),
      })
      .optional()
      .openapi({ description: 'Calibration offset added to each reading, in the unit of the role.' }),
  })
  .strict()
  .openapi('ChangeChannels')

export const Vessel = z
  .object({
    id: Id,
    name: z.string(),
    litres: z.number(),
    createdAt: Time,
    channels: Channels,
    offsets: z.object(eachRole(z.number())),
    waterPlusMinusC: z.number().nullable().optional().openapi({
      description:
        'What the calibrated water probe is good to, ± °C (k = 2); null or left out: not calibrated.',
    }),
    latest: z.object({
      waterC: Latest.nullable(),
      upperWaterC: Latest.nullable().openapi({
        description: 'By a second probe near the surface, against layers; no rule judges it.',
      }),
      roomC: Latest.nullable(),
      airLpm: Latest.nullable(),
      lightLx: Latest.nullable(),
      levelShare: Latest.nullable().openapi({
        description: 'How high the water stands, share of a full vessel.',
      }),
    }),
    silentAfterS: SilentAfterS.optional(),
    batch: Batch.nullable().openapi({ description: 'The open batch.' }),
    forecast: Forecast.nullable(),
    suppression: z
      .object({ reason: z.enum(HushReason), since: Time, until: Time, by: z.string() })
      .nullable()
      .openapi({ description: 'The work that goes on at it, for which alarms are suppressed.' }),
  })
  .openapi('Vessel')

export const NewVessel = z
  .object({ name: Name, litres: z.number().positive().max(100) })
  .strict()
  .openapi('NewVessel')
export const ChangeVessel = NewVessel.partial().openapi('ChangeVessel')

const Column = z.object({
  t: z.array(z.int()),
  min: z.array(z.number()),
  max: z.array(z.number()),
  mean: z.array(z.number()),
})
export const Readings = z
  .object({ from: Time, to: Time, channels: z.object(eachRole(Column)).partial() })
  .openapi('Readings')

export type Vessel = z.infer<typeof Vessel>
export type Readings = z.infer<typeof Readings>
