import type { MiddlewareHandler } from 'hono'
import { accepts } from 'hono/accepts'
import { promisify } from 'node:util'
import { brotliCompress, constants, gzip } from 'node:zlib'
import type { WebEnv } from './context.ts'

/**
 * What is packed on its way: long columns of readings, alarms and lines, and nothing else. How long a packed answer is tells something
 * about all that stands in it together (BREACH, Gluck, Harris & Prado 2013), so none of these may ever hold a secret: no password,
 * token, code, secret address or anything else that lets somebody in. What other people wrote (notes, names of devices) stands in
 * some of them, next to nothing but the record of the batches, which whoever may ask for these sees anyway.
 */
export const PACKED_PATHS = [
  '/openapi.json',
  '/alarms/journal',
  '/batches',
  '/batches/compared',
  '/batches/:id/course',
  '/batches/:id/readings',
  '/batches/:id/replay',
  '/vessels/:id/readings',
] as const

/** Shorter answers fit a few packets as they are, bytes. */
const LEAST_BYTES = 4096
/**
 * Quick levels: a replay of 300 kB takes some 1 ms by either and becomes 20 kB (Brotli) or 52 kB (gzip). Browsers take
 * Brotli over TLS and from this machine alone.
 */
const BROTLI = { params: { [constants.BROTLI_PARAM_QUALITY]: 3 } }
const GZIP = { level: 2 }
const withBrotli = promisify(brotliCompress)
const withGzip = promisify(gzip)
const AS_IT_IS = 'identity'

/** Browsers like all that they know equally well, and of those the first of ours is the smallest. */
const smallestLiked: NonNullable<Parameters<typeof accepts>[1]['match']> = (
  liked,
  { supports, default: otherwise },
) => {
  const likingOf = (coding: string) => liked.find(({ type }) => type.toLowerCase() === coding)?.q ?? 0
  const best = Math.max(...supports.map(likingOf))
  return best > 0 ? (supports.find(coding => likingOf(coding) === best) ?? otherwise) : otherwise
}

/** Packs a good JSON answer, on the threads of zlib: alarms do not wait for it. */
export const packed: MiddlewareHandler<WebEnv> = async function packed(c, next) {
  await next()
  if (c.res.status !== 200 || c.req.method !== 'GET') return
  if (!/^application\/json\b/.test(c.res.headers.get('Content-Type') ?? '')) return
  c.header('Vary', 'Accept-Encoding', { append: true })
  const coding = accepts(c, {
    header: 'Accept-Encoding',
    supports: ['br', 'gzip'],
    default: AS_IT_IS,
    match: smallestLiked,
  })
  if (coding === AS_IT_IS) return
  const plain = new Uint8Array(await c.res.arrayBuffer())
  if (plain.byteLength < LEAST_BYTES) {
    c.res = new Response(plain, c.res)
    return
  }
  const bytes = coding === 'br' ? await withBrotli(plain, BROTLI) : await withGzip(plain, GZIP)
  c.res = new Response(new Uint8Array(bytes), c.res)
  c.res.headers.delete('Content-Length')
  c.header('Content-Encoding', coding)
}
