import { OpenAPIHono } from '@hono/zod-openapi'
import type { Context } from 'hono'
import { randomUUID } from 'node:crypto'
import { PHOTO_BYTES } from '../room/books/photos.ts'
import { PACKED_BYTES } from '../room/handover/read.ts'
import { bodyLimit } from './body-limit.ts'
import { calendarAddress } from './calendar-address.ts'
import type { WebEnv, WebOptions } from './context.ts'
import type { Guard } from './guard.ts'
import { protectiveHeaders } from './headers.ts'
import { ailmentsOf } from './health.ts'
import { linkPages } from './link-page.ts'
import { createMetrics } from './metrics.ts'
import { createNotFound } from './not-found.ts'
import { describeApi } from './openapi.ts'
import { asProblem, HttpProblem, problemResponse } from './problem.ts'
import { alarmRoutes } from './routes/alarms.ts'
import { batchEventRoutes } from './routes/batch-events.ts'
import { batchRoutes } from './routes/batches.ts'
import { calibrationRoutes } from './routes/calibrations.ts'
import { cleaningRoutes } from './routes/cleaning.ts'
import { cohortRoutes } from './routes/cohorts.ts'
import { compareRoutes } from './routes/compare.ts'
import { countRoutes } from './routes/counts.ts'
import { deviceAccessRoutes } from './routes/device-access.ts'
import { deviceConfigRoutes } from './routes/device-config.ts'
import { deviceRoutes } from './routes/devices.ts'
import { feedingRoutes } from './routes/feedings.ts'
import { diagnosisRoutes } from './routes/diagnosis.ts'
import { handoverRoutes } from './routes/handover.ts'
import { heldRoutes } from './routes/held.ts'
import { heartbeatRoutes } from './routes/heartbeat.ts'
import { journalRoutes } from './routes/journal.ts'
import { lotRoutes } from './routes/lots.ts'
import { notifyRoutes } from './routes/notify.ts'
import { pairingRoutes } from './routes/pairing.ts'
import { photoRoutes } from './routes/photos.ts'
import { presetRoutes } from './routes/presets.ts'
import { planRoutes } from './routes/plan.ts'
import { pushRoutes } from './routes/push.ts'
import { quarantineRoutes } from './routes/quarantine.ts'
import { recipeRoutes } from './routes/recipe.ts'
import { reminderRoutes } from './routes/reminders.ts'
import { replayRoutes } from './routes/replay.ts'
import { sessionRoutes } from './routes/session.ts'
import { settingsRoutes } from './routes/settings.ts'
import { soonerRoutes } from './routes/sooner.ts'
import { tableRoutes } from './routes/tables.ts'
import { topicRoutes } from './routes/topics.ts'
import { vesselRoutes } from './routes/vessels.ts'
import { walkRoutes } from './routes/walks.ts'
import type { SignIn } from './sign-in.ts'
import { staticFiles } from './static.ts'
import { refuseInvalid } from './validation.ts'

/** Larger bodies are refused: nothing that a person sends comes near. */
export const BODY_LIMIT_BYTES = 256 * 1024

const API = '/api/v1'
/** The certificate that phones and boards are to trust; public by its nature. */
const AUTHORITY_PATH = '/authority.pem'
const usually = bodyLimit(BODY_LIMIT_BYTES)
const forPhotos = bodyLimit(PHOTO_BYTES)
/** What was written out of a house of years is brought in at once. */
const forImport = bodyLimit(64 * 1024 * 1024)
const forBatches = bodyLimit(PACKED_BYTES)

function limits(path: string): typeof usually {
  if (/\/batches\/[^/]+\/photos$/.test(path)) return forPhotos
  if (path === `${API}/brought-in`) return forBatches
  return path.startsWith(`${API}/import`) ? forImport : usually
}
const NOBODY_NEEDED = { name: null, session: null } as const

export interface AppParts {
  readonly guard: Guard
  readonly signIn: SignIn
  readonly live: { clients(): number; dropSession(session: string): void }
}

/** Everything that answers over HTTP; the live feed and MQTT are beside it, on the same server. */
export function createApp(options: WebOptions, { guard, signIn, live }: AppParts): OpenAPIHono<WebEnv> {
  const app = new OpenAPIHono<WebEnv>({ defaultHook: refuseInvalid })

  app.use('/a/*', async function sendsItsOrigin(c, next) {
    await next()
    // Under the policy of all other pages a browser sends a form with the origin "null", which the guard must refuse.
    c.header('Referrer-Policy', 'same-origin')
  })
  app.use(`${API}/photos/*`, async function canDoNothing(c, next) {
    await next()
    // Whatever somebody managed to hide in a picture.
    c.header('Content-Security-Policy', "default-src 'none'; sandbox")
  })
  app.use(protectiveHeaders)
  app.use(async function knowWhereFrom(c, next) {
    const problem = guard({
      method: c.req.method,
      host: c.req.header('host') ?? new URL(c.req.url).host,
      origin: c.req.header('origin'),
      fetchSite: c.req.header('sec-fetch-site'),
      webSocket: false,
    })
    if (problem) throw problem
    await next()
  })

  app.use('/api/*', async function neverCached(c, next) {
    await next()
    c.header('Cache-Control', 'no-store')
  })
  app.use(async function knowWho(c, next) {
    c.set('identity', options.signIn ? await identify(c) : NOBODY_NEEDED)
    if (c.get('identity') === null && needsSignIn(c.req.method, c.req.path)) {
      throw new HttpProblem(
        401,
        `Cannot serve ${c.req.path}: ${c.req.header('authorization') ? 'this token is not known' : 'sign in first'}`,
        {
          headers: { 'WWW-Authenticate': 'Bearer' },
        },
      )
    }
    await next()
  })
  app.use((c, next) => limits(c.req.path)(c, next))

  for (const routes of [
    vesselRoutes,
    // Before the single batch, whose route would take its path for an id.
    presetRoutes,
    handoverRoutes,
    compareRoutes,
    batchRoutes,
    walkRoutes,
    photoRoutes,
    heldRoutes,
    cleaningRoutes,
    tableRoutes,
    countRoutes,
    batchEventRoutes,
    diagnosisRoutes,
    replayRoutes,
    soonerRoutes,
    lotRoutes,
    alarmRoutes,
    journalRoutes,
    reminderRoutes,
    deviceRoutes,
    deviceConfigRoutes,
    deviceAccessRoutes,
    pairingRoutes,
    calibrationRoutes,
    topicRoutes,
    pushRoutes,
    quarantineRoutes,
    settingsRoutes,
    notifyRoutes,
    heartbeatRoutes,
    recipeRoutes,
  ]) {
    app.route(API, routes(options))
  }
  app.route(
    API,
    sessionRoutes(options, signIn, session => live.dropSession(session)),
  )

  if (options.feeding) {
    app.route(API, cohortRoutes(options.feeding))
    app.route(API, planRoutes(options.feeding))
    app.route(API, feedingRoutes(options.feeding, options.clock))
    app.route('/calendar', calendarAddress(options.feeding, options))
  }

  app.route('/a', linkPages(options.calling, options.clock))

  const document = describeApi(app)
  app.get(`${API}/openapi.json`, c => c.json(document))
  app.get('/healthz', async c => {
    const ailments = await ailmentsOf(options)
    return ailments.length === 0 ? c.json({ status: 'ok' }) : c.json({ status: 'ailing', ailments }, 503)
  })
  const metrics = createMetrics(options, () => live.clients())
  app.get('/metrics', async c => c.body(await metrics.text(), 200, { 'Content-Type': metrics.contentType }))

  app.get(AUTHORITY_PATH, c => {
    const authority = options.tls?.authority ?? null
    if (authority === null) throw new HttpProblem(404, 'There is no certificate of our own to trust here')
    // What phones know as a certificate to be installed.
    return c.body(authority, 200, { 'Content-Type': 'application/x-x509-ca-cert' })
  })

  const files = staticFiles(options.dashboardDir)
  app.use(async (c, next) => (isService(c.req.path) ? next() : files(c, next)))

  const described = Object.entries(document.paths ?? {}).flatMap(([path, item]) =>
    Object.keys(item).map(method => ({ method, path })),
  )
  const others = [`${API}/openapi.json`, '/healthz', '/metrics', AUTHORITY_PATH].map(path => ({
    method: 'get',
    path,
  }))
  const notFound = createNotFound([...described, ...others])
  app.notFound(c => problemResponse(notFound(c.req.method, c.req.path)))
  app.onError(function answerError(error, c) {
    const problem = asProblem(error)
    if (problem) return problemResponse(problem)
    const errorId = randomUUID()
    options.logger.error({ err: error, errorId, method: c.req.method, path: c.req.path }, 'request failed')
    return problemResponse(
      new HttpProblem(500, 'The service failed; its log has more under errorId'),
      errorId,
    )
  })
  return app

  function identify(c: Context<WebEnv>) {
    return signIn.identify({ cookie: c.req.header('cookie'), authorization: c.req.header('authorization') })
  }
}

/** The service itself, as against the dashboard's files. */
const isService = (path: string): boolean =>
  path === '/api' || path.startsWith('/api/') || path === '/metrics' || path === '/healthz'

/**
 * All of it but the way in, and a device's, which has a code. Signing out without a session is no harm, and tidies up a stale
 * cookie.
 */
const needsSignIn = (method: string, path: string): boolean =>
  isService(path) &&
  path !== '/healthz' &&
  !(path === `${API}/pairing` && method === 'POST') &&
  !(path === `${API}/session` && (method === 'POST' || method === 'DELETE'))
