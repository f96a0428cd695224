import { createRoute, OpenAPIHono, z } from '@hono/zod-openapi'
import { PHOTO_BYTES, PHOTOS_OF_BATCH } from '../../room/books/photos.ts'
import { PhotoQuery } from '../api/books.ts'
import { BatchEvent } from '../api/events.ts'
import { ById } from '../api/requests.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { batchEvent } from '../present-batch.ts'
import { HttpProblem } from '../problem.ts'
import { given, json, problems } from './describe.ts'
import { saidAt, saidBy } from './who.ts'

const tags = ['batches']
const picture = { schema: z.string().openapi({ type: 'string', format: 'binary' }) }
const pictures = { 'image/jpeg': picture, 'image/png': picture, 'image/webp': picture }
const add = createRoute({
  method: 'post',
  path: '/batches/{id}/photos',
  tags,
  summary: "Keep a photo and write it into the batch's log",
  description: `A JPEG, PNG or WebP picture as the body, at most ${PHOTO_BYTES / 1024} KiB; at most ${PHOTOS_OF_BATCH} a batch.`,
  request: { params: ById, query: PhotoQuery },
  responses: { 201: json(BatchEvent, 'The entry.'), ...problems(404, 409, 413, 415, 422) },
})
const one = createRoute({
  method: 'get',
  path: '/photos/{id}',
  tags,
  summary: 'A photo',
  request: { params: ById },
  responses: { 200: { description: 'The picture.', content: pictures }, ...problems(404, 422) },
})

export function photoRoutes({ books, guests }: WebOptions): OpenAPIHono<WebEnv> {
  const { photos } = books
  return new OpenAPIHono<WebEnv>()
    .openapi(add, async c => {
      const media = c.req.header('content-type') ?? ''
      if (!Object.keys(pictures).includes(media))
        throw new HttpProblem(415, 'Cannot keep the photo: send it as image/jpeg, image/png or image/webp')
      const { at, by, words } = c.req.valid('query')
      const body = new Uint8Array(await c.req.arrayBuffer())
      const said = { by: saidBy(c, by), ...saidAt(at), ...given({ words }) }
      return c.json(batchEvent(await photos.add(c.req.valid('param').id, body, said)), 201)
    })
    .openapi(one, async c => {
      const { id } = c.req.valid('param')
      const { media, body } = (await guests.photo(id)) ?? (await photos.photo(id))
      const headers = {
        'Content-Type': media,
        'Content-Disposition': 'inline; filename="photo"',
        'Cross-Origin-Resource-Policy': 'same-origin',
      }
      return new Response(body as Uint8Array<ArrayBuffer>, { headers })
    })
}
