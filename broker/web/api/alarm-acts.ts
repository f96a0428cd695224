import { z } from '@hono/zod-openapi'
import { AlarmState, RuleName } from '../../rules/alarm.ts'
import { HushReason } from '../../rules/hush.ts'
import { Id, Time } from './schemas.ts'

const By = z.string().trim().min(1).max(80).optional().openapi({ description: 'Who does it.' })

/** What a person does, with no more to say than who it is. */
export const ByWhom = z.object({ by: By }).openapi('ByWhom')

export const Shelve = z
  .object({
    minutes: z.number().min(5).max(720).optional().openapi({
      description: 'For how long; 60 at most for a critical alarm. It comes back by itself.',
    }),
    oneShot: z.literal(true).optional().openapi({
      description: 'Until it returns to normal, and no longer than an alarm of its priority may be put off.',
    }),
    by: By,
  })
  .refine(({ minutes, oneShot }) => (minutes === undefined) !== (oneShot === undefined), {
    message: 'Cannot put off: send either minutes or oneShot',
    path: ['minutes'],
  })
  .openapi('Shelve')

const DAY_MIN = 1440
export const TakeOut = z
  .object({
    minutes: z
      .number()
      .min(5)
      .max(30 * DAY_MIN)
      .optional()
      .openapi({ description: 'It returns by itself then; until it is returned when left out.' }),
    why: z.string().trim().max(200).optional().openapi({ description: 'What for; it is in the journal.' }),
    by: By,
  })
  .openapi('TakeOut')

export const Suppress = z
  .object({
    reason: z.enum(HushReason),
    minutes: z.number().min(1).max(90).default(30).openapi({ description: 'It ends by itself then.' }),
    by: By,
  })
  .openapi('Suppress')

export const Suppression = z
  .object({ reason: z.enum(HushReason), since: Time, until: Time, by: z.string() })
  .openapi('Suppression')
export type Suppression = z.infer<typeof Suppression>

export const VesselRule = z.object({
  id: Id.openapi({ param: { name: 'id', in: 'path' } }),
  rule: z.enum(RuleName).openapi({ param: { name: 'rule', in: 'path' } }),
})

const STATES = Object.values(AlarmState)
/** One state, or several with commas between: `shelved,out-of-service`. */
export const States = z
  .string()
  .max(400)
  .refine(text => text.split(',').every(each => (STATES as string[]).includes(each)), {
    message: `Cannot read state: write ${STATES.join(', ')}, with commas between several`,
  })
  .openapi({ example: 'shelved,suppressed-by-design,out-of-service' })

export const statesOf = (text: string): AlarmState[] =>
  text.split(',').filter((each): each is AlarmState => (STATES as string[]).includes(each))
