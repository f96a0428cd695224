import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { defaultSettings } from '../../room/settings.ts'
import { Settings } from '../api/schemas.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import * as present from '../present.ts'
import { body, json, problems } from './describe.ts'

const tags = ['settings']
const read = createRoute({
  method: 'get',
  path: '/settings',
  tags,
  summary: "The room's settings",
  responses: { 200: json(Settings, 'All settings.'), ...problems() },
})
const usual = createRoute({
  method: 'get',
  path: '/settings/usual',
  tags,
  summary: 'What a new room starts with, to go back to',
  responses: { 200: json(Settings, 'All settings.'), ...problems() },
})
const replace = createRoute({
  method: 'put',
  path: '/settings',
  tags,
  summary: "Replace the room's settings",
  request: { body: body(Settings) },
  responses: { 200: json(Settings, 'All settings.'), ...problems(409, 413, 415, 422) },
})

export function settingsRoutes({ room }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(read, c => c.json(present.settings(room.snapshot().settings), 200))
    .openapi(usual, c => c.json(present.settings(defaultSettings), 200))
    .openapi(replace, async c => {
      const changed = await room.changeSettings(present.settingsIn(c.req.valid('json')))
      return c.json(present.settings(changed), 200)
    })
}
