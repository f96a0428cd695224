import { OpenAPIHono } from '@hono/zod-openapi'
import type { Context } from 'hono'
import { randomUUID } from 'node:crypto'
import { PHOTO_BYTES } from '../room/books/photos.ts'
import { PACKED_BYTES } from '../room/handover/read.ts'
import { bodyLimit } from './body-limit.ts'
import { calendarAddress } from './calendar-address.ts'
import type { WebEnv, WebOptions } from './context.ts'
import { enforceAccess } from './access/enforce.ts'
import { SignInRole } from '../roles.ts'
import type { Guard } from './guard.ts'
import { protectiveHeaders } from './headers.ts'
import { ailmentsOf } from './health.ts'
import { linkPages } from './link-page.ts'
import { createMetrics } from './metrics.ts'
import { packed, PACKED_PATHS } from './packed.ts'
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
import { peopleRoutes } from './routes/people.ts'
import { auditRoutes } from './routes/audit.ts'
import { tokenRoutes } from './routes/tokens.ts'
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
const NOBODY_NEEDED = { name: null, session: null, role: SignInRole.owner } as const

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
    await next()
  })
  app.use(enforceAccess(options, { service: isService, missing: (method, path) => notFound(method, path) }))
  app.use((c, next) => limits(c.req.path)(c, next))
  for (const path of PACKED_PATHS) app.use(`${API}${path}`, packed)

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
    tokenRoutes,
    auditRoutes,
  ]) {
    app.route(API, routes(options))
  }
  const dropSession = (session: string): void => live.dropSession(session)
  app.route(API, sessionRoutes(options, signIn, dropSession))
  app.route(API, peopleRoutes(options, signIn, dropSession))

  if (options.feeding) {
    app.route(API, cohortRoutes(options.feeding))
    app.route(API, planRoutes(options.feeding))
    app.route(API, feedingRoutes(options.feeding, options.clock))
    app.route('/calendar', calendarAddress(options.feeding, options))
  }

  app.route('/a', linkPages(options.calling, options.clock, options.room))

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
    const path = withoutKey(c.req.path)
    options.logger.error({ err: error, errorId, method: c.req.method, path }, 'request failed')
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

/** A path for the log: behind these two stands what lets somebody in without sign-in. */
const withoutKey = (path: string): string => path.replace(/^\/(a|calendar)\/[^/]+/, '/$1/…')

/** The service itself, as against the dashboard's files. */
const isService = (path: string): boolean =>
  path === '/api' || path.startsWith('/api/') || path === '/metrics' || path === '/healthz'
