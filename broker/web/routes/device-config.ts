import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { RoomError, RoomErrorKind } from '../../room/contract.ts'
import { ByDevice, ChangeDeviceConfig, DeviceConfig } from '../api/device-config.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { body, given, json, problems } from './describe.ts'

const tags = ['devices']
const read = createRoute({
  method: 'get',
  path: '/devices/{name}/config',
  tags,
  summary: 'By which settings a device is to measure',
  request: { params: ByDevice },
  responses: { 200: json(DeviceConfig, 'Its settings.'), ...problems(404, 422) },
})
const replace = createRoute({
  method: 'put',
  path: '/devices/{name}/config',
  tags,
  summary: 'Replace the settings of a device; it is told at once, or when it comes',
  request: { params: ByDevice, body: body(ChangeDeviceConfig) },
  responses: {
    200: json(DeviceConfig, 'Its settings, with the next revision.'),
    ...problems(404, 409, 413, 415, 422),
  },
})

export function deviceConfigRoutes({ room, store, deviceSettings }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(read, async c => {
      const { name } = c.req.valid('param')
      await mustBeKnown(name)
      return c.json(deviceSettings.of(name), 200)
    })
    .openapi(replace, async c => {
      const { name } = c.req.valid('param')
      await mustBeKnown(name)
      const { limits, ...rest } = c.req.valid('json')
      const kept = Object.fromEntries(
        Object.entries(limits).flatMap(([channel, limit]) => {
          const sides = given(limit)
          // Neither side is no limit.
          return Object.keys(sides).length === 0 ? [] : [[channel, sides]]
        }),
      )
      return c.json(await deviceSettings.change(name, { ...rest, limits: kept }), 200)
    })

  /** Devices of an external broker stand in no list: the room knows them once they have spoken. */
  async function mustBeKnown(name: string): Promise<void> {
    const row = (await store.devices()).find(each => each.name === name)
    const may = row ? row.revokedAtMs === null : room.snapshot().devices.some(each => each.row.name === name)
    if (!may)
      throw new RoomError(RoomErrorKind.notFound, `Cannot find device: none that may speak is named ${name}`)
  }
}
