import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import type { DeviceView } from '../../room/views.ts'
import { hashSecret, newSecret as randomSecret } from '../../secrets.ts'
import type { DeviceRow } from '../../store/contract.ts'
import { DeviceList } from '../api/lists.ts'
import { DeviceCredential, NewDevice } from '../api/requests.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import * as present from '../present.ts'
import { body, json, problems } from './describe.ts'

const tags = ['devices']
const list = createRoute({
  method: 'get',
  path: '/devices',
  tags,
  summary: 'The devices that may speak or were revoked, and what they last said',
  responses: {
    200: json(DeviceList, 'All devices; those that were revoked until they are removed.'),
    ...problems(),
  },
})
const add = createRoute({
  method: 'post',
  path: '/devices',
  tags,
  summary: 'Let a new device speak',
  request: { body: body(NewDevice) },
  responses: {
    201: json(DeviceCredential, 'What the device signs in with. Shown this once.'),
    ...problems(409, 413, 415, 422),
  },
})

export function deviceRoutes({
  room,
  store,
  clock,
  newSecret = randomSecret,
}: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(list, async c => {
      const rows = await store.devices()
      const listed = new Map(rows.map(row => [row.name, row]))
      const known = room
        .snapshot()
        .devices.map(device => ({ ...device, row: listed.get(device.row.name) ?? device.row }))
        .filter(({ row }) => row.removedAtMs === undefined)
      const heard = new Set(known.map(device => device.row.name))
      // The room learns of a device when it speaks; one that was only just added is in the store alone.
      const silent = rows.filter(row => row.removedAtMs === undefined && !heard.has(row.name))
      return c.json({ devices: [...known, ...silent.map(neverHeard)].map(present.device) }, 200)
    })
    .openapi(add, async c => {
      const { name } = c.req.valid('json')
      const password = newSecret()
      c.set('subject', name)
      await store.addDevice({ name, secretHash: hashSecret(password), createdAtMs: clock() })
      return c.json({ device: name, password }, 201)
    })
}

function neverHeard(row: DeviceRow): DeviceView {
  const unknown = { lastHeardAtMs: null, firmware: null, rssiDbm: null, uptimeS: null, backlog: null }
  return { row, online: false, ...unknown, channels: [] }
}
