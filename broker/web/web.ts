import { getRequestListener } from '@hono/node-server'
import type { OpenAPIHono } from '@hono/zod-openapi'
import {
  createServer as createPlainServer,
  type IncomingMessage,
  type Server,
  type ServerResponse,
} from 'node:http'
import { createServer as createTlsServer } from 'node:https'
import type { AddressInfo, Socket } from 'node:net'
import type { Duplex } from 'node:stream'
import { Doorway } from '../doorway.ts'
import { newSecret as randomSecret } from '../secrets.ts'
import { createApp } from './app.ts'
import type { WebEnv, WebOptions } from './context.ts'
import { isLoopback } from '../loopback.ts'
import { createGuard } from './guard.ts'
import { createLiveFeed } from './live/feed.ts'
import { BARE_HEADERS, HttpProblem, problemResponse } from './problem.ts'
import { refuseSocket } from './raw-problem.ts'
import { createSignIn } from './sign-in.ts'
import { createUpgrades } from './upgrade.ts'

/** Connections beyond these are closed at once: MQTT over WebSocket, screens and requests together. */
const MAX_CONNECTIONS = 2048
const HEADERS_TIMEOUT_MS = 10_000
const REQUEST_TIMEOUT_MS = 30_000
/** How often these two are looked at; by itself it would be each half minute. */
const LOOK_EVERY_MS = 2000
/** Connections beside the others that may be about their TLS handshake, or on their way out. */
const HANDSHAKES = 100
/** How long requests under way may take once the service stops. */
const STOP_GRACE_MS = 1000

export interface Web {
  /** For requests in memory, without a socket. */
  readonly app: OpenAPIHono<WebEnv>
  /** Listens; port 0 takes a free one. Rejects for an address beyond loopback when there is no sign-in. */
  listen(host: string, port: number): Promise<{ host: string; port: number }>
  /** Tells the screens, lets requests under way finish for a second, and closes every connection. */
  close(): Promise<void>
}

/** The room, for people: HTTP API, live feed, sign-in, and the dashboard's files. */
export function createWeb(options: WebOptions): Web {
  const { room, store, clock, clockSpeed, newSecret = randomSecret } = options
  const guard = createGuard({ loopbackOnly: !options.signIn, allowedOrigins: options.allowedOrigins ?? [] })
  const signIn = createSignIn(store, clock, newSecret)
  const feed = createLiveFeed({
    room,
    feeding: options.feeding,
    walks: options.books.walks,
    clock,
    clockSpeed,
    connect: options.connect,
    epoch: newSecret().slice(0, 12),
    mayStay: async identity => !options.signIn || signIn.stillGood(identity),
  })
  const app = createApp(options, { guard, signIn, live: feed })
  const upgrades = createUpgrades(options, { guard, signIn, feed })

  const limits = {
    headersTimeout: HEADERS_TIMEOUT_MS,
    connectionsCheckingInterval: LOOK_EVERY_MS,
    requestTimeout: REQUEST_TIMEOUT_MS,
    // A missing Host is refused by the listener below, which answers with a problem; Node would answer with nothing.
    requireHostHeader: false,
  }
  const maxConnections = options.maxConnections ?? MAX_CONNECTIONS
  const doorway = new Doorway(maxConnections)
  const onRequest = (request: IncomingMessage, response: ServerResponse) => {
    // Whoever sends a request slowly has not been answered yet, and may be asked to make way.
    response.once('finish', () => doorway.admit(request.socket))
    void answer(request, response)
  }
  const { tls } = options
  const encrypting = tls
    ? createTlsServer({ ...limits, ...tls.pair, handshakeTimeout: HEADERS_TIMEOUT_MS }, onRequest)
    : null
  tls?.onChange(pair => encrypting?.setSecureContext(pair))
  const server: Server = encrypting ?? createPlainServer(limits, onRequest)
  const answer = getRequestListener((request, env) => app.fetch(request, env), {
    overrideGlobalObjects: false,
    errorHandler: () =>
      problemResponse(
        new HttpProblem(400, 'Cannot read request: its address or Host is malformed', {
          headers: BARE_HEADERS,
        }),
      ),
  })
  // With TLS whoever never ends the handshake holds a socket too, before it is seen here.
  server.maxConnections = maxConnections + HANDSHAKES
  server.on(encrypting ? 'secureConnection' : 'connection', (socket: Socket) => {
    if (!doorway.enter(socket)) socket.destroy()
  })
  server.on('upgrade', (request, socket, head) => {
    doorway.admit(socket)
    upgrades.handle(request, socket, head)
  })
  server.on('clientError', refuseMalformed)

  return {
    app,
    async listen(host, port) {
      if (!options.signIn && !isLoopback(host)) {
        throw new Error(`Cannot listen on ${host}: beyond loopback the service needs sign-in`)
      }
      await listening(server, host, port)
      const { address, port: taken } = server.address() as AddressInfo
      return { host: address, port: taken }
    },
    async close() {
      feed.close()
      upgrades.close()
      if (!server.listening) return
      const closed = new Promise<void>(resolve => server.close(() => resolve()))
      server.closeIdleConnections()
      const grace = setTimeout(() => server.closeAllConnections(), STOP_GRACE_MS)
      await closed
      clearTimeout(grace)
    },
  }
}

function listening(server: Server, host: string, port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', reject)
    server.listen(port, host, () => {
      server.off('error', reject)
      resolve()
    })
  })
}

const MALFORMED: Readonly<Record<string, HttpProblem>> = {
  HPE_HEADER_OVERFLOW: new HttpProblem(431, 'Cannot read request: its headers are too large'),
  ERR_HTTP_REQUEST_TIMEOUT: new HttpProblem(408, 'Cannot read request: it took too long to arrive'),
}
const NOT_HTTP = new HttpProblem(400, 'Cannot read request: it is not valid HTTP')

/** Answers what the HTTP parser could not read. */
function refuseMalformed(error: NodeJS.ErrnoException, socket: Duplex): void {
  if (error.code === 'ECONNRESET') return void socket.destroy()
  refuseSocket(socket, MALFORMED[error.code ?? ''] ?? NOT_HTTP)
}
