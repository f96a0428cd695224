import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { ById } from '../api/requests.ts'
import {
  AdoptedTopic,
  AdoptedTopicList,
  BridgeCredential,
  BridgeList,
  ByBridge,
  NewAdoptedTopic,
  NewBridge,
  SeenTopicList,
} from '../api/topics.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { iso } from '../times.ts'
import { body, json, problems } from './describe.ts'

const tags = ['topics']
const seen = createRoute({
  method: 'get',
  path: '/topics',
  tags,
  summary: 'Topics of others that were seen lately, and the numbers in them',
  responses: { 200: json(SeenTopicList, 'The newest first; 500 at most.'), ...problems() },
})
const list = createRoute({
  method: 'get',
  path: '/adopted-topics',
  tags,
  summary: 'The topics of others that are read as devices',
  responses: { 200: json(AdoptedTopicList, 'All of them.'), ...problems() },
})
const adopt = createRoute({
  method: 'post',
  path: '/adopted-topics',
  tags,
  summary: 'Read a topic of somebody else’s sensor as a channel of a device',
  request: { body: body(NewAdoptedTopic) },
  responses: { 201: json(AdoptedTopic, 'Read from now on.'), ...problems(409, 413, 415, 422) },
})
const drop = createRoute({
  method: 'delete',
  path: '/adopted-topics/{id}',
  tags,
  summary: 'Read a topic no more; what was read stays',
  request: { params: ById },
  responses: { 204: { description: 'Done.' }, ...problems(404, 422) },
})
const bridges = createRoute({
  method: 'get',
  path: '/bridges',
  tags,
  summary: 'The credentials for sensors that are there already',
  responses: { 200: json(BridgeList, 'Without their passwords.'), ...problems() },
})
const addBridge = createRoute({
  method: 'post',
  path: '/bridges',
  tags,
  summary: 'Let sensors that are there already publish on chosen topics',
  request: { body: body(NewBridge) },
  responses: {
    201: json(BridgeCredential, 'What they sign in with. Shown this once.'),
    ...problems(409, 413, 415, 422),
  },
})
const removeBridge = createRoute({
  method: 'delete',
  path: '/bridges/{name}',
  tags,
  summary: 'Let a bridge speak no longer',
  request: { params: ByBridge },
  responses: { 204: { description: 'Done; its connections are ended.' }, ...problems(404, 422) },
})

export function topicRoutes({ others }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(seen, c => c.json({ topics: [...others.seen()], refused: [...others.refused()] }, 200))
    .openapi(list, c => c.json({ adopted: [...others.adopted()] }, 200))
    .openapi(adopt, async c => c.json(await others.adopt(c.req.valid('json')), 201))
    .openapi(drop, async c => {
      await others.drop(c.req.valid('param').id)
      return c.body(null, 204)
    })
    .openapi(bridges, async c => {
      const all = await others.bridges()
      return c.json(
        {
          bridges: all.map(({ name, topics, createdAtMs }) => ({
            name,
            topics: [...topics],
            createdAt: iso(createdAtMs),
          })),
        },
        200,
      )
    })
    .openapi(addBridge, async c => {
      const { name, topics } = c.req.valid('json')
      c.set('subject', name)
      return c.json({ bridge: name, password: await others.addBridge({ name, topics }), topics }, 201)
    })
    .openapi(removeBridge, async c => {
      await others.removeBridge(c.req.valid('param').name)
      return c.body(null, 204)
    })
}
