import { z } from '@hono/zod-openapi'
import { Id, Time } from './schemas.ts'

export const AdoptedTopic = z
  .object({
    id: Id,
    topic: z.string(),
    pointer: z.string().nullable().openapi({
      description:
        'Where the number is in a JSON document (RFC 6901); null: the whole message is the number.',
    }),
    device: z.string().openapi({ description: 'The device that it is shown as.' }),
    channel: z.string().openapi({ example: 'water' }),
    unit: z.string().openapi({ description: 'The number times `scale` plus `offset` is in this unit.' }),
    scale: z.number(),
    offset: z.number(),
  })
  .openapi('AdoptedTopic')
export const AdoptedTopicList = z.object({ adopted: z.array(AdoptedTopic) }).openapi('AdoptedTopicList')
export const NewAdoptedTopic = AdoptedTopic.omit({ id: true })
  .extend({
    pointer: AdoptedTopic.shape.pointer.default(null),
    scale: z.number().default(1),
    offset: z.number().default(0),
  })
  .strict()
  .openapi('NewAdoptedTopic')

export const SeenTopic = z
  .object({
    topic: z.string(),
    bridge: z
      .string()
      .nullable()
      .openapi({ description: 'Whose credentials brought it; null behind another broker.' }),
    at: Time,
    count: z.int(),
    text: z
      .string()
      .openapi({ description: 'The newest message, cut at 2 KiB; what is no text shows as dots.' }),
    bytes: z.int(),
    retained: z.boolean().openapi({
      description: 'It was kept by the broker, so nobody knows how old it is: it is shown, and not read.',
    }),
    numbers: z.array(z.object({ pointer: z.string().nullable(), value: z.number() })).openapi({
      description: 'What of it can be adopted.',
    }),
  })
  .openapi('SeenTopic')
/** Messages of a bridge on a topic that is not of its filters: they went nowhere. */
export const RefusedTopic = z
  .object({
    bridge: z.string(),
    topic: z.string().openapi({ description: 'Cut at 256 characters.' }),
    at: Time.openapi({ description: 'Of the newest.' }),
    count: z.int(),
  })
  .openapi('RefusedTopic')
export const SeenTopicList = z
  .object({
    topics: z.array(SeenTopic),
    refused: z.array(RefusedTopic).openapi({
      description: 'Where bridges sent what they may not, the newest first; 50 at most.',
    }),
  })
  .openapi('SeenTopicList')

export const Bridge = z
  .object({ name: z.string(), topics: z.array(z.string()), createdAt: Time })
  .openapi('Bridge')
export const BridgeList = z.object({ bridges: z.array(Bridge) }).openapi('BridgeList')
export const NewBridge = z
  .object({
    name: z.string().openapi({ example: 'house' }),
    topics: z.array(z.string().max(256)).openapi({
      description: 'Topic filters, + and # included: it may publish and subscribe within these.',
      example: ['home/shelf/#'],
    }),
  })
  .strict()
  .openapi('NewBridge')
/** Shown once: only a hash of the password is kept. */
export const BridgeCredential = z
  .object({ bridge: z.string(), password: z.string(), topics: z.array(z.string()) })
  .openapi('BridgeCredential')
export const ByBridge = z.object({
  name: z
    .string()
    .max(63)
    .openapi({ param: { name: 'name', in: 'path' } }),
})

export type AdoptedTopic = z.infer<typeof AdoptedTopic>
export type NewAdoptedTopic = z.input<typeof NewAdoptedTopic>
export type SeenTopic = z.infer<typeof SeenTopic>
export type RefusedTopic = z.infer<typeof RefusedTopic>
export type Bridge = z.infer<typeof Bridge>
export type BridgeCredential = z.infer<typeof BridgeCredential>
