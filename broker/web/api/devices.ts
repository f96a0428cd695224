import { z } from '@hono/zod-openapi'
import { Role } from '../../store/contract.ts'
import { Id, Latest, Time } from './schemas.ts'

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

export type Device = z.infer<typeof Device>
export type QuarantineItem = z.infer<typeof QuarantineItem>
