import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { showCode } from '../../../firmware-protocol/pairing.ts'
import { CodeRequest, DeviceCode, DeviceCommand, NewPassword } from '../api/device-access.ts'
import { ByDevice } from '../api/device-config.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { iso } from '../times.ts'
import { body, json, problems } from './describe.ts'

const tags = ['devices']
const request = { params: ByDevice }
const code = createRoute({
  method: 'post',
  path: '/devices/{name}/code',
  tags,
  summary: 'A code to be typed at a device, which redeems it for its credentials; lets a new device in',
  request: { params: ByDevice, body: body(CodeRequest) },
  responses: { 201: json(DeviceCode, 'Good once, for ten minutes.'), ...problems(404, 409, 413, 415, 422) },
})
const password = createRoute({
  method: 'post',
  path: '/devices/{name}/password',
  tags,
  summary: 'A new password for a device; the one before is good until this one is used',
  request,
  responses: { 201: json(NewPassword, 'Shown this once.'), ...problems(404, 409, 422) },
})
const revoke = createRoute({
  method: 'post',
  path: '/devices/{name}/revoke',
  tags,
  summary: 'Let a device speak no longer: its connection ends at once',
  request,
  responses: { 204: { description: 'It may speak no more.' }, ...problems(404, 422) },
})
const remove = createRoute({
  method: 'delete',
  path: '/devices/{name}',
  tags,
  summary: 'Take a revoked device off the list; what it sent is kept',
  request,
  responses: { 204: { description: 'It is listed no more.' }, ...problems(404, 409, 422) },
})
const command = createRoute({
  method: 'post',
  path: '/devices/{name}/command',
  tags,
  summary: 'Have a device do something once: blink, report or restart',
  request: { params: ByDevice, body: body(DeviceCommand) },
  responses: {
    204: { description: 'It was told. What became of it shows in what it says of itself.' },
    ...problems(404, 409, 413, 415, 422),
  },
})

export function deviceAccessRoutes({ devices }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(code, async c => {
      const { name } = c.req.valid('param')
      const made = await devices.code(name, c.req.valid('json'))
      const { device, untilMs, pages } = made
      return c.json({ device, code: showCode(made.code), expiresAt: iso(untilMs), pages: [...pages] }, 201)
    })
    .openapi(password, async c => {
      const { untilMs, ...credential } = await devices.password(c.req.valid('param').name)
      return c.json({ ...credential, expiresAt: iso(untilMs) }, 201)
    })
    .openapi(revoke, async c => {
      await devices.revoke(c.req.valid('param').name)
      return c.body(null, 204)
    })
    .openapi(remove, async c => {
      await devices.remove(c.req.valid('param').name)
      return c.body(null, 204)
    })
    .openapi(command, async c => {
      await devices.command(c.req.valid('param').name, c.req.valid('json'))
      return c.body(null, 204)
    })
}
