import { z } from '@hono/zod-openapi'
import { Quality } from '../../intake/reading.ts'
import { AlarmState, Priority, Reason, RuleName } from '../../rules/alarm.ts'
import { HushReason } from '../../rules/hush.ts'
import { HarvestGoal, Stage } from '../../hatch/contract.ts'
import { Role } from '../../store/contract.ts'
import { acknowledgedBefore, SilentAfterS } from './schema-parts.ts'

export { Settings } from './settings.ts'

/** ISO 8601 in UTC, as every time in the API but the columns of readings. */
export const Time = z.iso.datetime({ offset: true }).openapi({ example: '2026-11-25T06:40:00.000Z' })
export const Id = z.string().min(1).max(64)
export const Name = z
  .string()
  .trim()
  .min(1)
  .max(80)
  .regex(/^\P{Cc}*$/u, 'It must be one line of text')
/** `<device>/<channel>`: `bench-1/water`, `bench-1/2/air`. */
export const ChannelRef = z
  .string()
  .max(200)
  .regex(
    /^[A-Za-z0-9][A-Za-z0-9_-]{0,62}\/\S+$/,
    'Cannot read channel: write device/channel, like bench-1/water',
  )
  .openapi({ example: 'bench-1/water' })

export const BandOfTimes = z.object({ p10: Time, p50: Time, p90: Time }).openapi('BandOfTimes')
export const BandOfNumbers = z
  .object({ p10: z.number(), p50: z.number(), p90: z.number() })
  .openapi('BandOfNumbers')

export const DelayReason = z
  .object({
    kind: z.enum(['cooler', 'warmer', 'unmeasured', 'slower-lot', 'faster-lot']),
    since: Time.nullable(),
    laterH: z.number().openapi({ description: 'Hours later than planned; negative is sooner.' }),
    waterC: z.number().nullable().openapi({ description: 'Mean of the water since then.' }),
    plannedC: z.number().nullable(),
    expected: z.boolean().optional().openapi({
      description: 'waterC was not measured yet: it is what is expected. False when left out.',
    }),
  })
  .openapi('DelayReason')

export const Latest = z
  .object({ value: z.number().nullable(), at: Time, quality: z.enum(Quality) })
  .openapi('Latest')

/** Which food is wanted: `smallest` nauplii are taken earlier, `most` food later. */
export const Goal = z.enum(HarvestGoal).openapi({ description: 'Which food the harvest window is for.' })

export const Forecast = z
  .object({
    at: Time,
    t10: BandOfTimes,
    t90: BandOfTimes,
    harvest: z.object({ from: Time, best: Time, until: Time, bestBand: BandOfTimes }),
    hatchedNow: BandOfNumbers,
    stage: z.enum(Stage),
    progress: z.number(),
    expectedWaterC: BandOfNumbers,
    reachesHatch: z.boolean(),
    goal: Goal,
    stagesNow: z
      .object({ umbrella: BandOfNumbers, instarI: BandOfNumbers, instarII: BandOfNumbers })
      .openapi({ description: 'As shares of the final number, 0 to 1.' }),
    energyLeft: BandOfNumbers.openapi({
      description: 'Of the mean nauplius out by now, as a share of what it hatched with.',
    }),
    hatchShare: BandOfNumbers.openapi({ description: 'Share of the cysts that hatch in the end, 0 to 1.' }),
    nauplii: BandOfNumbers.openapi({ description: 'How many nauplii the dose gives in the end.' }),
    naupliiBefore: BandOfNumbers.optional().openapi({
      description:
        'The same by the lot’s other batches alone: expected before anything was seen of this one.',
    }),
    hatchShareBefore: BandOfNumbers.optional().openapi({
      description: 'Share of its cysts that hatches in the end, 0 to 1, by the lot’s other batches alone.',
    }),
    firstSeenAt: Time.optional().openapi({
      description: 'When somebody saw its first swimmers: the times lean on it. Left out while nobody did.',
    }),
    moved: z
      .object({
        kind: z.enum(['count', 'first-swimmers']),
        at: Time,
        vesselId: Id.nullable().openapi({ description: 'Where it was seen; null for this batch itself.' }),
        laterH: z.number().openapi({ description: 'Below 0: sooner.' }),
        hatchedBefore: BandOfNumbers.openapi({
          description: 'Share that would be taken to be out now without it.',
        }),
      })
      .optional()
      .openapi({
        description: 'What was seen last of its lot, where that moved its harvest within the last 12 hours.',
      }),
    waterMeasured: z.boolean().optional().openapi({
      description:
        'Whether any of its water was measured; where none was, the times rest on the water as planned.',
    }),
    why: z.array(DelayReason).openapi({
      description:
        'Why it comes sooner or later than was planned at the start, where that is beyond the forecast’s own doubt; the weightiest first.',
    }),
    heading: z
      .object({
        limitC: z.number(),
        at: BandOfTimes.extend({ p90: Time.nullable().openapi({ description: 'null: perhaps never.' }) }),
      })
      .nullable()
      .openapi({ description: 'When the water crosses its heat limit on this course; null: it does not.' }),
    lot: z.object({ name: z.string().nullable(), batches: z.int(), observations: z.int() }).openapi({
      description:
        'What the forecast knows the lot from: earlier batches and what was seen, this one included.',
    }),
  })
  .openapi('Forecast')

export const Batch = z
  .object({
    id: Id,
    vesselId: Id,
    startedAt: Time,
    endedAt: Time.nullable(),
    litres: z.number(),
    cystsG: z.number(),
    salinityGpl: z.number(),
    lot: z.string().nullable(),
    goal: Goal,
    note: z.string().nullable(),
    vesselName: z.string().optional().openapi({
      description:
        'What its vessel is called, or was before it was put away; told of a batch that is asked for alone.',
    }),
  })
  .openapi('Batch')

export const NewBatch = z
  .object({
    vesselId: Id,
    startedAt: Time.optional().openapi({ description: 'Now when left out; may lie in the past.' }),
    litres: z.number().positive().max(100),
    cystsG: z.number().positive().max(500),
    salinityGpl: z.number().min(0).max(120),
    lot: z.string().trim().max(80).optional(),
    goal: Goal.optional(),
    note: z.string().max(2000).optional(),
  })
  .strict()
  .openapi('NewBatch')

/** What may be corrected afterwards. */
export const ChangeBatch = z
  .object({
    startedAt: Time.optional(),
    endedAt: Time.optional().openapi({ description: 'Of an ended batch only.' }),
    litres: z.number().positive().max(100).optional(),
    cystsG: z.number().positive().max(500).optional(),
    salinityGpl: z.number().min(0).max(120).optional(),
    lot: z.string().trim().max(80).nullish(),
    goal: Goal.optional(),
    note: z.string().max(2000).nullish(),
  })
  .strict()
  .openapi('ChangeBatch')

export const EndBatch = z
  .object({ endedAt: Time.optional(), note: z.string().max(2000).optional() })
  .strict()
  .openapi('EndBatch')

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

export const Device = z
  .object({
    name: z.string(),
    createdAt: Time,
    revokedAt: Time.nullable().openapi({
      description: 'It may speak no more; until it is removed it is listed.',
    }),
    newPasswordUntil: Time.nullable().openapi({
      description: 'A new password waits until then to be used; meanwhile the one before is good too.',
    }),
    pairedAt: Time.nullable().openapi({
      description: 'When a code was last redeemed for it, since the service started.',
    }),
    online: z.boolean(),
    lastHeardAt: Time.nullable(),
    firmware: z.string().nullable(),
    rssiDbm: z.number().nullable(),
    uptimeS: z.number().nullable(),
    backlog: z.number().nullable(),
    startedAt: Time.nullable().openapi({
      description: 'When it was switched on or restarted, by its own word.',
    }),
    dropped: z.number().nullable().openapi({ description: 'Readings that its full outbox had to drop.' }),
    resetReason: z.string().nullable().openapi({ description: 'Why it started, as it says.' }),
    clockErrorMs: z.number().nullable().openapi({
      description: 'How far its clock is ahead of ours, for a device that has one; to a second or so.',
    }),
    freeBytes: z.number().nullable(),
    configRevision: z.int().nullable().openapi({
      description: 'Of the settings by which it measures; 0: its own. null when it has not said.',
    }),
    channels: z.array(
      z.object({
        name: z.string(),
        unit: z.string(),
        latest: Latest,
        assignedTo: z.object({ vesselId: Id, role: z.enum(Role) }).nullable(),
      }),
    ),
  })
  .openapi('Device')

export const Alarm = z
  .object({
    id: Id,
    vesselId: Id.nullable().openapi({ description: 'null: of the whole room, or of the service itself.' }),
    rule: z.enum(RuleName),
    state: z.enum(AlarmState),
    priority: z.enum(Priority),
    raisedAt: Time,
    clearedAt: Time.nullable(),
    acknowledgedAt: Time.nullable(),
    acknowledgedBy: z.string().nullable(),
    acknowledgedBefore: acknowledgedBefore(Time).optional(),
    reason: z.enum(Reason),
    action: z.string().openapi({
      description:
        'What to do first, in one short sentence; empty in alarms kept before there was one. The text has it too.',
      example: 'Switch the lamp off at a dry plug; leave the air on.',
    }),
    text: z.string(),
    value: z.number().nullable(),
    limit: z.number().nullable(),
    announcedAt: Time.nullable().openapi({
      description: 'When it called last; null while it never has, suppressed or out of service all along.',
    }),
    shelvedUntil: Time.nullable().openapi({ description: 'While shelved: when it ends at the latest.' }),
    shelvedOnce: z.boolean().openapi({ description: 'Shelved only until it returns to normal.' }),
    setAsideBy: z.string().nullable().openapi({ description: 'Who shelved it or took it out of service.' }),
    outUntil: Time.optional().openapi({
      description: 'While out of service: when it returns by itself, if it does.',
    }),
    outWhy: z.string().optional().openapi({ description: 'While out of service: what for, if said.' }),
    suppressedUntil: Time.nullable().openapi({ description: 'While suppressed for work: until when.' }),
    causedBy: Id.nullable().openapi({
      description: 'The standing alarm that it is a consequence of; suppressed while that one stands.',
    }),
    takes: z.int().optional().openapi({ description: 'How many vessels it takes, if not one.' }),
    consequences: z.array(Id).openapi({ description: 'The alarms that are a consequence of this one.' }),
  })
  .openapi('Alarm')

const Column = z.object({
  t: z.array(z.int()),
  min: z.array(z.number()),
  max: z.array(z.number()),
  mean: z.array(z.number()),
})
export const Readings = z
  .object({ from: Time, to: Time, channels: z.object(eachRole(Column)).partial() })
  .openapi('Readings')

export const QuarantineItem = z
  .object({
    id: z.int(),
    at: Time,
    device: z.string(),
    topic: z.string(),
    reason: z.string(),
    detail: z.string(),
    bytes: z.int(),
    payloadBase64: z.string(),
  })
  .openapi('QuarantineItem')

/** RFC 9457. */
export const Problem = z
  .object({
    type: z.string(),
    title: z.string(),
    status: z.int(),
    detail: z.string().optional(),
    errorId: z
      .string()
      .optional()
      .openapi({ description: 'On a failure of the service: the same id is in its log.' }),
    batchId: Id.optional().openapi({
      description: 'Of a file that cannot be brought in: the batch that is here.',
    }),
    errors: z
      .array(z.object({ field: z.string(), message: z.string() }))
      .optional()
      .openapi({ description: 'One entry for each field that is wrong.' }),
  })
  .openapi('Problem')

export type Vessel = z.infer<typeof Vessel>
export type Batch = z.infer<typeof Batch>
export type Forecast = z.infer<typeof Forecast>
export type Device = z.infer<typeof Device>
export type Alarm = z.infer<typeof Alarm>
export type Latest = z.infer<typeof Latest>
export type Readings = z.infer<typeof Readings>
export type Problem = z.infer<typeof Problem>
export type QuarantineItem = z.infer<typeof QuarantineItem>
