import { z } from '@hono/zod-openapi'
import { ROLES } from '../../roles.ts'
import { Time } from './schemas.ts'

export const RoleName = z.enum(ROLES).openapi('SignInRole', {
  description: 'Viewers look; helpers do the daily work besides; owners everything.',
})

/** Who is asking, of those who may. */
export const Session = z
  .object({
    signInNeeded: z
      .boolean()
      .openapi({ description: 'False where the service is reachable from this machine alone.' }),
    name: z
      .string()
      .nullable()
      .openapi({ description: "A person's or a bearer token's name; null for the owner." }),
    role: RoleName,
  })
  .openapi('Session')

const Password = z.string().min(1).max(256)

export const SignIn = z
  .object({
    password: Password,
    name: z.string().max(60).optional().openapi({ description: "Left out with the owner's password." }),
  })
  .openapi('SignIn')

export const UseLink = z
  .object({
    secret: z.string().min(1).max(200).openapi({ description: 'What stands behind the # of the link.' }),
    password: Password.optional().openapi({
      description:
        'To sign in with from now on, 10 characters at least. Without one only this browser is let in.',
    }),
  })
  .openapi('UseLink')

/** People who may sign in besides the owner. */
export const PersonIn = z
  .object({
    id: z.string(),
    name: z.string(),
    role: RoleName,
    createdAt: Time,
    hasPassword: z.boolean(),
    linkUntil: Time.nullable().openapi({
      description: 'A link that nobody has used yet is good until then.',
    }),
  })
  .openapi('PersonIn')
export const PeopleIn = z.object({ people: z.array(PersonIn) }).openapi('PeopleIn')

const LesserRole = z.enum(['viewer', 'helper'])
export const NewPersonIn = z
  .object({ name: z.string().min(1).max(60), role: LesserRole })
  .openapi('NewPersonIn')
export const ChangeRole = z.object({ role: LesserRole }).openapi('ChangeRole')
export const PersonLink = z
  .object({
    person: PersonIn,
    path: z.string().openapi({ description: 'Of the page that lets them in, once. Shown this once.' }),
    expiresAt: Time,
  })
  .openapi('PersonLink')

export const SessionList = z
  .object({
    sessions: z.array(
      z
        .object({
          id: z.string(),
          name: z.string().nullable().openapi({ description: 'null for the owner.' }),
          role: RoleName,
          openedAt: Time,
          expiresAt: Time,
          address: z.string().nullable(),
          agent: z.string().nullable().openapi({ description: 'What the browser calls itself.' }),
          own: z.boolean().openapi({ description: 'The one that asks.' }),
        })
        .openapi('RunningSession'),
    ),
  })
  .openapi('SessionList')

export const TokenIn = z.object({ name: z.string(), role: RoleName, createdAt: Time }).openapi('Token')
export const TokenList = z.object({ tokens: z.array(TokenIn) }).openapi('TokenList')
export const TokenByName = z.object({ name: z.string().regex(/^[A-Za-z0-9][A-Za-z0-9_-]{0,62}$/) })
export const NewToken = TokenByName.extend({ role: RoleName }).openapi('NewToken')
export const TokenSecret = z
  .object({ name: z.string(), role: RoleName, token: z.string() })
  .openapi('TokenSecret')

export const AuditQuery = z.object({
  limit: z.coerce.number().int().min(1).max(500).default(100),
  before: z.coerce.number().int().min(1).max(Number.MAX_SAFE_INTEGER).optional().openapi({
    description: 'Lines older than the one with this id.',
  }),
})
export const AuditList = z
  .object({
    lines: z.array(
      z
        .object({
          id: z.int(),
          at: Time,
          act: z.string(),
          subject: z.string().nullable(),
          who: z.string(),
          role: z.string().nullable(),
          address: z.string().nullable().openapi({ description: 'null for the command line.' }),
          failed: z.boolean().openapi({ description: 'It was tried, and refused.' }),
        })
        .openapi('AuditLine'),
    ),
  })
  .openapi('AuditList')

export type Session = z.infer<typeof Session>
export type RoleName = z.infer<typeof RoleName>
export type PersonIn = z.infer<typeof PersonIn>
export type PeopleIn = z.infer<typeof PeopleIn>
export type PersonLink = z.infer<typeof PersonLink>
export type SessionList = z.infer<typeof SessionList>
export type TokenList = z.infer<typeof TokenList>
export type TokenSecret = z.infer<typeof TokenSecret>
export type AuditList = z.infer<typeof AuditList>
