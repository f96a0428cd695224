import { z } from 'zod'
import { HarvestGoal } from '../../hatch/contract.ts'
import { KeptIn } from '../../hatch/lot/use-by.ts'
import { AlarmState, Priority, Reason, RuleName, SYSTEM_RULES } from '../../rules/alarm.ts'
import { WatchKind } from '../../store/contract.ts'
import { EventBody } from '../books/tables/events.ts'
import { Channel } from './columns.ts'
import { Id, Moment, Text } from './parts.ts'

/**
 * One batch in one file, to be looked at elsewhere: what went in, all that was measured, seen, done and called for. JSON, packed with
 * gzip or not; by convention `NAME.batch.json.gz`. `README.md` beside this file explains it to whoever reads it with a script.
 */
export const FORMAT = 'brinewatch-batch'
/** Raised when a reader of the version before would read it wrongly. Fields that are only added do not raise it. */
export const FORMAT_VERSION = 1

const amount = z.number().positive().max(1e6)
const measured = z.number()

export const BatchPart = z.object({
  id: Id,
  startedAtMs: Moment,
  endedAtMs: Moment.nullable().describe('null: it was open when the file was written'),
  litres: amount,
  cystsG: amount,
  salinityGpl: z.number().min(0).max(1000),
  lot: Text(80).nullable(),
  goal: z.enum(HarvestGoal).describe('which food was wanted of it'),
  note: Text(2000).nullable(),
})

export const LotPart = z.object({
  openedOn: Text(10).nullable(),
  keptIn: z.enum(KeptIn).nullable(),
  bestBefore: Text(10).nullable(),
  note: Text(2000).nullable(),
})

const developed = {
  atMs: Moment,
  degH: measured.describe('development by then, degree-hours Celsius above the threshold'),
  degHSd: z.number().min(0).describe('one standard deviation of that'),
}
const seen = z.number().min(0)
/** What an earlier batch of the lot showed, as the hatch model takes it. */
export const EvidencePart = z.object({
  startedAtMs: Moment,
  litres: amount,
  cystsG: amount,
  items: z
    .array(
      z.discriminatedUnion('kind', [
        z.object({ kind: z.literal('first-swimmers'), ...developed }),
        z.object({
          kind: z.literal('count'),
          ...developed,
          nauplii: seen,
          umbrella: seen.nullable(),
          embryos: seen.nullable(),
          sampledMl: seen,
          harvest: z.boolean(),
        }),
      ]),
    )
    .max(600),
})

export const EventPart = z.object({
  id: Id,
  atMs: Moment.describe('when it was so'),
  recordedAtMs: Moment.describe('when it was written down'),
  by: Text(200),
  withdrawnAtMs: Moment.nullable().describe('when it was taken back; null while it counts'),
  said: EventBody,
})

export const AlarmPart = z.object({
  id: Id,
  vesselId: Id.nullable().describe('null: of the whole room'),
  rule: z.enum(RuleName),
  state: z.enum(AlarmState),
  priority: z.enum(Priority),
  raisedAtMs: Moment,
  announcedAtMs: Moment.nullable(),
  worseSinceMs: Moment.nullable().default(null),
  saidAtMs: Moment.optional().describe('when its words were written, where that was after its last call'),
  takes: z.int().min(0).optional().describe('how many vessels it takes, where that is more than one'),
  clearedAtMs: Moment.nullable(),
  acknowledgedAtMs: Moment.nullable(),
  acknowledgedBy: Text(200).nullable(),
  seenBefore: z
    .object({ atMs: Moment, by: Text(200).nullable() })
    .optional()
    .describe('the acknowledgement before its last call'),
  reason: z.enum(Reason),
  action: Text(2000),
  text: Text(4000),
  value: measured.nullable(),
  limit: measured.nullable(),
  shelvedUntilMs: Moment.nullable(),
  shelvedOnce: z.boolean(),
  setAsideBy: Text(200).nullable(),
  outUntilMs: Moment.optional(),
  outWhy: Text(1000).optional(),
  suppressedUntilMs: Moment.nullable(),
  causedBy: Id.nullable(),
  consequences: z.array(Id).max(1000),
})

export const RuleSettingsPart = z.object({
  enabled: z.boolean(),
  limit: measured,
  deadband: measured,
  onDelayMs: z.number().min(0),
  offDelayMs: z.number().min(0),
  priority: z.enum(Priority),
  latching: z.boolean().optional(),
  reAlarmMs: z.number().min(0).optional(),
  leastCostMs: z.number().min(0).optional(),
})
const Rules = z.partialRecord(z.enum(RuleName), RuleSettingsPart)
const altitudeM = z.number().min(-500).max(9000)

const onVessel = z.looseObject({ kind: Text(40), atMs: Moment })
const onSystem = z.looseObject({ kind: Text(40) })
const line = <K extends WatchKind, T extends z.ZodType>(kind: K, said: T) =>
  z.object({
    kind: z.literal(kind),
    atMs: Moment,
    vesselId: Id.nullable(),
    alarmId: Id.nullable(),
    line: said,
  })
/** The log of the watch: what readings do not tell, and whoever judges them again must know. */
export const WatchPart = z.discriminatedUnion('kind', [
  line(WatchKind.began, z.object({})),
  line(
    WatchKind.alarm,
    z.object({
      rule: z.enum(RuleName),
      state: z.enum(AlarmState),
      priority: z.enum(Priority),
      reason: z.enum(Reason),
      causedBy: Id.nullable(),
      calls: z.boolean(),
      by: Text(200).nullable(),
      shelvedUntilMs: Moment.nullable(),
      says: Text(4000).optional().describe('what it said, at a step that calls'),
      outUntilMs: Moment.optional(),
      outWhy: Text(1000).optional(),
      noticedAtMs: Moment.optional(),
    }),
  ),
  line(WatchKind.act, z.union([z.object({ onVessel }), z.object({ rule: z.enum(SYSTEM_RULES), onSystem })])),
  line(
    WatchKind.backlog,
    z.object({ role: Channel.shape.role, fromMs: Moment, toMs: Moment, receivedAtMs: Moment }),
  ),
  line(WatchKind.lamp, z.object({ heats: z.boolean() })),
  line(WatchKind.settings, z.object({ altitudeM, rules: Rules })),
])

export const PhotoPart = z.object({
  id: Id,
  media: z.enum(['image/jpeg', 'image/png', 'image/webp']),
  createdAtMs: Moment,
  base64: z.base64().max(1_500_000),
})

/** The whole file. */
export const HandedOver = z.object({
  format: z.literal(FORMAT),
  version: z.int().min(1),
  written: z.object({
    at: z.iso.datetime({ offset: true }),
    by: Text(80).describe('the program and its version'),
    names: z.boolean().describe('false: who did what was left out'),
  }),
  batch: BatchPart,
  vessel: z.object({ id: Id, name: Text(80), litres: amount }),
  lot: LotPart.nullable().describe('what was written down of the lot; null for nothing'),
  lotBefore: z.array(EvidencePart).max(50).describe('what earlier batches of the lot showed, oldest first'),
  settings: z.object({ altitudeM, rules: Rules }).describe('in force when the file was written'),
  channels: z
    .array(Channel)
    .max(60)
    .describe('what was measured, from 12 h before the start to 12 h after the end'),
  events: z.array(EventPart).max(1000),
  alarms: z.array(AlarmPart).max(2000),
  watch: z.array(WatchPart).max(20_000),
  photos: z.array(PhotoPart).max(12),
})
export type HandedOver = z.infer<typeof HandedOver>
