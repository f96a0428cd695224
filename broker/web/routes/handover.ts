import { createRoute, OpenAPIHono, z } from '@hono/zod-openapi'
import { isOwn } from '../../room/handover/guests.ts'
import { gather } from '../../room/handover/gather.ts'
import { takeIn } from '../../room/handover/take-in.ts'
import { RoomError, RoomErrorKind } from '../../room/contract.ts'
import { PROGRAM } from '../../version.ts'
import { BringQuery, Brought, GuestList, HandoverQuery } from '../api/handover.ts'
import { ById } from '../api/requests.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { guestBatch } from '../present-handover.ts'
import { HttpProblem } from '../problem.ts'
import { json, problems } from './describe.ts'
import { saidBy } from './who.ts'

const tags = ['export']
const binary = { schema: z.string().openapi({ type: 'string', format: 'binary' }) }
const file = createRoute({
  method: 'get',
  path: '/batches/{id}/export',
  tags,
  summary: 'A batch as one file, to be looked at elsewhere',
  description:
    'Readings, log, alarms with their steps, settings and versions, as JSON packed with gzip. The format is `brinewatch-batch`, described in broker/room/handover/README.md.',
  request: { params: ById, query: HandoverQuery },
  responses: {
    200: { description: 'The file.', content: { 'application/gzip': binary } },
    ...problems(404, 413, 422, 503),
  },
})
const bring = createRoute({
  method: 'post',
  path: '/brought-in',
  tags,
  summary: 'Bring a batch in that was written out elsewhere',
  description:
    'The file as the body, as application/gzip or application/json. The same once more changes nothing; nothing is ever overwritten.',
  request: { query: BringQuery },
  responses: {
    200: json(Brought, 'It is here.'),
    ...problems(409, 413, 415, 422, 503),
  },
})
const list = createRoute({
  method: 'get',
  path: '/brought-in',
  tags,
  summary: 'Batches that were brought in from elsewhere, the newest first',
  description:
    'Their replay, diagnosis, readings, events and forecast are asked for as those of own batches, by their ids.',
  responses: { 200: json(GuestList, 'The batches.'), ...problems() },
})
const remove = createRoute({
  method: 'delete',
  path: '/brought-in/{id}',
  tags,
  summary: 'Remove a batch that was brought in',
  request: { params: ById },
  responses: { 204: { description: 'Gone.' }, ...problems(404, 422) },
})

const TAKEN = /^application\/(gzip|x-gzip|octet-stream|json)\b/i

export function handoverRoutes({ store, room, guests, files, clock }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(file, async c => {
      const { id } = c.req.valid('param')
      const { names, photos } = c.req.valid('query')
      const guest = await guests.file(id)
      if (guest) return attachment(`${id}.batch.json.gz`, guest)
      await room.batch(id)
      const { name, bytes } = await files.write(
        await gather(store, id, {
          nowMs: clock(),
          program: PROGRAM,
          names: names === 'true',
          photos: photos === 'true',
        }),
      )
      return attachment(name, bytes)
    })
    .openapi(bring, async c => {
      if (!TAKEN.test(c.req.header('content-type') ?? ''))
        throw new HttpProblem(
          415,
          'Cannot bring the batch in: send it as application/gzip or application/json',
        )
      const bytes = new Uint8Array(await c.req.arrayBuffer())
      const { as } = c.req.valid('query')
      if (as !== 'own') {
        const by = saidBy(c, undefined)
        const { guest, isNew } = await (as === 'copy' ? guests.bringCopy(bytes, by) : guests.bring(bytes, by))
        return c.json({ batchId: guest.id, isNew }, 200)
      }
      const brought = await files.unpack(bytes)
      const { id } = brought.batch
      const here = await store.batch(id)
      if (here) throw isOwn(here)
      await takeIn(store, room, brought)
      return c.json({ batchId: id, isNew: true }, 200)
    })
    .openapi(list, async c => c.json({ batches: (await guests.list()).map(guestBatch) }, 200))
    .openapi(remove, async c => {
      const { id } = c.req.valid('param')
      if (!(await guests.remove(id)))
        throw new RoomError(
          RoomErrorKind.notFound,
          `Cannot remove the batch: none was brought in with the id ${id}`,
        )
      return c.body(null, 204)
    })
}

function attachment(name: string, body: Uint8Array<ArrayBuffer>): Response {
  return new Response(body, {
    headers: {
      'Content-Type': 'application/gzip',
      'Content-Disposition': `attachment; filename="${name}"`,
    },
  })
}
