import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { NewPreset, Preset, PresetList, Usual, UsualQuery } from '../api/books.ts'
import { ById } from '../api/requests.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { body, json, problems } from './describe.ts'

const tags = ['recipe']
const usual = createRoute({
  method: 'get',
  path: '/batches/usual',
  tags: ['batches'],
  summary: 'What two taps start in a vessel: its usual recipe and the lot to take next',
  request: { query: UsualQuery },
  responses: { 200: json(Usual, 'The usual batch.'), ...problems(404, 422) },
})
const list = createRoute({
  method: 'get',
  path: '/presets',
  tags,
  summary: 'Recipes of one’s own',
  responses: { 200: json(PresetList, 'The recipes.'), ...problems() },
})
const add = createRoute({
  method: 'post',
  path: '/presets',
  tags,
  summary: 'Keep a recipe of one’s own, by a name or for a vessel',
  description: 'A recipe of a vessel is what two taps start there.',
  request: { body: body(NewPreset) },
  responses: { 201: json(Preset, 'The recipe.'), ...problems(404, 409, 413, 415, 422) },
})
const alter = createRoute({
  method: 'put',
  path: '/presets/{id}',
  tags,
  summary: 'Change a recipe of one’s own',
  request: { params: ById, body: body(NewPreset) },
  responses: { 200: json(Preset, 'The recipe.'), ...problems(404, 409, 413, 415, 422) },
})
const drop = createRoute({
  method: 'delete',
  path: '/presets/{id}',
  tags,
  summary: 'Drop a recipe of one’s own',
  request: { params: ById },
  responses: { 204: { description: 'Gone.' }, ...problems(404, 422) },
})

export function presetRoutes({ books, room }: WebOptions): OpenAPIHono<WebEnv> {
  const { presets } = books
  return new OpenAPIHono<WebEnv>()
    .openapi(usual, async c => c.json(await books.usual(c.req.valid('query').vesselId), 200))
    .openapi(list, async c => {
      const all = await presets.list()
      const theirs = new Set(all.map(({ vesselId }) => vesselId))
      const named = (await room.everyVessel()).filter(({ id }) => theirs.has(id))
      return c.json({ presets: all, names: Object.fromEntries(named.map(({ id, name }) => [id, name])) }, 200)
    })
    .openapi(add, async c => c.json(await presets.keep(null, c.req.valid('json')), 201))
    .openapi(alter, async c => c.json(await presets.keep(c.req.valid('param').id, c.req.valid('json')), 200))
    .openapi(drop, async c => {
      await presets.drop(c.req.valid('param').id)
      return c.body(null, 204)
    })
}
