import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import type { ChannelChange } from '../../room/contract.ts'
import type { Role } from '../../store/contract.ts'
import { VesselList } from '../api/lists.ts'
import { ById, ReadingsQuery } from '../api/requests.ts'
import { ChangeChannels, ChangeVessel, NewVessel, Readings, Vessel } from '../api/vessels.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import * as present from '../present.ts'
import { body, given, json, problems } from './describe.ts'
import { spanOf } from './span.ts'

const tags = ['vessels']
const list = createRoute({
  method: 'get',
  path: '/vessels',
  tags,
  summary: 'The vessels in the room, as they are now',
  responses: { 200: json(VesselList, 'All vessels but retired ones.'), ...problems() },
})
const create = createRoute({
  method: 'post',
  path: '/vessels',
  tags,
  summary: 'Put a vessel into the room',
  request: { body: body(NewVessel) },
  responses: { 201: json(Vessel, 'The new vessel.'), ...problems(409, 413, 415, 422) },
})
const one = createRoute({
  method: 'get',
  path: '/vessels/{id}',
  tags,
  summary: 'One vessel as it is now',
  request: { params: ById },
  responses: { 200: json(Vessel, 'The vessel.'), ...problems(404, 422) },
})
const alter = createRoute({
  method: 'patch',
  path: '/vessels/{id}',
  tags,
  summary: 'Rename or resize a vessel',
  request: { params: ById, body: body(ChangeVessel) },
  responses: { 200: json(Vessel, 'The vessel.'), ...problems(404, 409, 413, 415, 422) },
})
const retire = createRoute({
  method: 'delete',
  path: '/vessels/{id}',
  tags,
  summary: 'Take a vessel out of the room; its history is kept',
  request: { params: ById },
  responses: { 204: { description: 'Gone.' }, ...problems(404, 409, 422) },
})
const assign = createRoute({
  method: 'put',
  path: '/vessels/{id}/channels',
  tags,
  summary: "Say which device's channels measure this vessel",
  description:
    'From now on; what was measured before stays where it was. Roles left out keep what they have.',
  request: { params: ById, body: body(ChangeChannels) },
  responses: { 200: json(Vessel, 'The vessel.'), ...problems(404, 409, 413, 415, 422) },
})
const readings = createRoute({
  method: 'get',
  path: '/vessels/{id}/readings',
  tags,
  summary: 'Curves of a span of time',
  request: { params: ById, query: ReadingsQuery },
  responses: { 200: json(Readings, 'Columns by role; times are Unix ms.'), ...problems(404, 422) },
})

export function vesselRoutes({ room, clock }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(list, c => c.json({ vessels: room.snapshot().vessels.map(present.vessel) }, 200))
    .openapi(create, async c => c.json(present.vessel(await room.createVessel(c.req.valid('json'))), 201))
    .openapi(one, c => c.json(present.vessel(room.vessel(c.req.valid('param').id)), 200))
    .openapi(alter, async c => {
      const changed = await room.changeVessel(c.req.valid('param').id, given(c.req.valid('json')))
      return c.json(present.vessel(changed), 200)
    })
    .openapi(retire, async c => {
      await room.retireVessel(c.req.valid('param').id)
      return c.body(null, 204)
    })
    .openapi(assign, async c => {
      const { offsets, ...channels } = c.req.valid('json')
      const assigned = await room.assignChannels(c.req.valid('param').id, {
        channels: channelsOf(channels),
        offsets: given(offsets ?? {}),
      })
      return c.json(present.vessel(assigned), 200)
    })
    .openapi(readings, async c => {
      const vessel = room.vessel(c.req.valid('param').id)
      const { points, ...asked } = c.req.valid('query')
      const { fromMs, toMs } = spanOf(asked, vessel.batch?.startedAtMs, clock())
      const channels = await room.readings(vessel.row.id, { fromMs, toMs, points })
      return c.json(present.readings(fromMs, toMs, channels), 200)
    })
}

/** `bench-1/2/air` is channel `2/air` of device `bench-1`. */
function channelsOf(refs: Partial<Record<Role, string | null | undefined>>): ChannelChange['channels'] {
  const split = Object.entries(given(refs)).map(([role, ref]) => {
    if (ref === null) return [role, null]
    const slash = ref.indexOf('/')
    return [role, { device: ref.slice(0, slash), channel: ref.slice(slash + 1) }]
  })
  return Object.fromEntries(split) as ChannelChange['channels']
}
