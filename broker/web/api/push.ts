import { z } from '@hono/zod-openapi'
import { Time } from './schemas.ts'

const Name = z.string().trim().min(1).max(80)
/** Sent by the browser as it is: what is wrong with it is told under `subscription`. */
const Base64Url = z.string().min(1).max(200)

/** A browser that is called. Its address is a secret between it and the broker, and is not told. */
export const Phone = z
  .object({
    id: z.string().openapi({
      description:
        'The first 24 hexadecimal digits of the SHA-256 of its endpoint, so that a browser finds itself.',
      example: '9f86d081884c7d659a2feaa0',
    }),
    name: z.string(),
    personId: z.string(),
    person: z.string(),
  })
  .openapi('Phone')
export type Phone = z.infer<typeof Phone>

export const Phones = z
  .object({
    publicKey: z.string().openapi({
      description: "The broker's public key (RFC 8292), base64url: a browser subscribes with it.",
    }),
    people: z.array(z.object({ id: z.string(), name: z.string() })),
    phones: z.array(Phone),
    lost: z.array(z.object({ name: z.string(), person: z.string(), at: Time })).openapi({
      description: 'Phones that said that they take no more calls from here, the newest first.',
    }),
  })
  .openapi('Phones')
export type Phones = z.infer<typeof Phones>

export const NewPhone = z
  .object({
    name: Name.openapi({ description: 'What its owner calls it.', example: 'my phone' }),
    person: Name.openapi({ description: 'Whose it is; somebody new is added to those who are called.' }),
    subscription: z
      .object({
        endpoint: z.string().min(1).max(1024),
        expirationTime: z.number().nullable().optional(),
        keys: z.object({ p256dh: Base64Url, auth: Base64Url }),
      })
      .openapi({ description: 'What PushManager.subscribe() gives, as JSON.' }),
  })
  .openapi('NewPhone')
export type NewPhone = z.infer<typeof NewPhone>

export const ByPhone = z.object({
  id: z
    .string()
    .regex(/^[0-9a-f]{24}$/, 'Cannot find phone: its id is 24 hexadecimal digits')
    .openapi({ param: { name: 'id', in: 'path' } }),
})

export const Called = z
  .object({
    arrived: z.boolean(),
    words: z.string().openapi({ description: 'What came of it, for a person.' }),
  })
  .openapi('Called')
export type Called = z.infer<typeof Called>
