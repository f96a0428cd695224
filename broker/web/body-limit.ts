import type { MiddlewareHandler } from 'hono'
import type { WebEnv } from './context.ts'
import { HttpProblem } from './problem.ts'

/**
 * Refuses bodies above a size. A body with a declared length is judged by that, since Node's parser reads no further; one
 * without is read here, counted, and handed on. (The library's own limit makes a new Request out of the server's,
 * which Node 20 refuses.)
 */
export function bodyLimit(maxBytes: number): MiddlewareHandler<WebEnv> {
  return async function limitBody(c, next) {
    const declared = c.req.header('content-length')
    if (declared !== undefined && Number(declared) > maxBytes) throw tooLarge(maxBytes)
    if (declared === undefined && c.req.raw.body) {
      const read = await readUpTo(c.req.raw.body, maxBytes)
      // The library's cache holds promises, whatever its types say.
      c.req.bodyCache.arrayBuffer = Promise.resolve(read) as unknown as ArrayBuffer
    }
    await next()
  }
}

async function readUpTo(body: ReadableStream<Uint8Array>, maxBytes: number): Promise<ArrayBuffer> {
  const parts: Uint8Array[] = []
  let bytes = 0
  const reader = body.getReader()
  for (;;) {
    const { done, value } = await reader.read()
    if (done) break
    bytes += value.byteLength
    if (bytes > maxBytes) {
      await reader.cancel()
      throw tooLarge(maxBytes)
    }
    parts.push(value)
  }
  return await new Blob(parts as BlobPart[]).arrayBuffer()
}

function tooLarge(maxBytes: number): HttpProblem {
  return new HttpProblem(413, `Cannot read body: it is larger than ${maxBytes / 1024} KiB`)
}
