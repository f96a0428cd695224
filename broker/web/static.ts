import { serveStatic } from '@hono/node-server/serve-static'
import type { MiddlewareHandler } from 'hono'
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import type { WebEnv } from './context.ts'

/** Files whose names hold a hash of their content never change: they are kept for a year. */
const HASHED = /^\/assets\/.+-[\w-]{8,}\.\w+$/
const FOR_A_YEAR = 'public, max-age=31536000, immutable'

const NOT_BUILT = `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>brinewatch: the dashboard is not built</title>
<h1>The dashboard is not built</h1>
<p>The service runs, and its API answers at <a href="/api/v1/openapi.json">/api/v1</a>. To see the room here,
run <code>npm run build</code> in the folder of brinewatch, then load this page again.</p>
</html>
`

/**
 * The dashboard's files. An address without an extension is a view of the dashboard, and gets its page; a missing file
 * falls through to "not found".
 */
export function staticFiles(dir: string): MiddlewareHandler<WebEnv> {
  let files: MiddlewareHandler<WebEnv> | undefined
  let page: MiddlewareHandler<WebEnv> | undefined

  return async function staticFiles(c, next) {
    const { method, path } = c.req
    if (method !== 'GET' && method !== 'HEAD') return next()
    const isView = !/\.\w+$/.test(path)
    if (!existsSync(join(dir, 'index.html'))) return isView ? c.html(NOT_BUILT, 503) : next()

    const options = { root: dir, precompressed: true }
    files ??= serveStatic<WebEnv>(options)
    page ??= serveStatic<WebEnv>({ ...options, path: 'index.html' })
    const found = await (isView ? page(c, next) : files(c, next))
    if (found instanceof Response) {
      found.headers.set('Cache-Control', HASHED.test(path) ? FOR_A_YEAR : 'no-cache')
    }
    return found
  }
}
