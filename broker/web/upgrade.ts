import type { IncomingMessage } from 'node:http'
import type { Duplex } from 'node:stream'
import { createWebSocketStream, WebSocketServer } from 'ws'
import type { Identity, WebOptions } from './context.ts'
import type { Guard } from './guard.ts'
import type { LiveFeed } from './live/feed.ts'
import { mayAct, SignInRole } from '../roles.ts'
import { tooSmall } from './access/enforce.ts'
import { rulesOf } from './access/rule-for.ts'
import { ACCESS, ANYONE } from './access/table.ts'
import { asProblem, HttpProblem } from './problem.ts'
import { refuseSocket } from './raw-problem.ts'
import type { SignIn } from './sign-in.ts'

export const LIVE_PATH = '/api/v1/live'
export const MQTT_PATH = '/mqtt'
const MQTT_SUBPROTOCOL = 'mqtt' // MQTT 3.1.1 clause 6.0.0-3

/** The live feed's clients send nothing but pongs, which are at most 125 bytes. */
const LIVE_PAYLOAD_BYTES = 1024
/** One WebSocket message may hold many MQTT packets, or a part of one. */
const MQTT_PAYLOAD_BYTES = 256 * 1024

const FEED_ROLE = rulesOf(ACCESS)('GET', LIVE_PATH)?.least ?? SignInRole.owner

export interface Upgrades {
  handle(request: IncomingMessage, socket: Duplex, head: Buffer): void
  close(): void
}

/** Takes the WebSockets that come to the HTTP server: the live feed, and MQTT for intake. */
export function createUpgrades(
  options: Pick<WebOptions, 'signIn' | 'mqttSocket' | 'logger'>,
  parts: { guard: Guard; signIn: SignIn; feed: LiveFeed },
): Upgrades {
  const { guard, signIn, feed } = parts
  const live = new WebSocketServer({
    noServer: true,
    perMessageDeflate: false,
    maxPayload: LIVE_PAYLOAD_BYTES,
  })
  const mqtt = new WebSocketServer({
    noServer: true,
    perMessageDeflate: false,
    maxPayload: MQTT_PAYLOAD_BYTES,
    handleProtocols: offered => (offered.has(MQTT_SUBPROTOCOL) ? MQTT_SUBPROTOCOL : false),
  })

  async function who(request: IncomingMessage): Promise<Identity> {
    if (!options.signIn) return { name: null, session: null, role: SignInRole.owner }
    const { cookie, authorization } = request.headers
    const identity = await signIn.identify({ cookie, authorization })
    if (identity) return identity
    throw new HttpProblem(401, 'Cannot open the live feed: sign in first', {
      headers: { 'WWW-Authenticate': 'Bearer' },
    })
  }

  async function openLive(request: IncomingMessage, socket: Duplex, head: Buffer, url: URL): Promise<void> {
    const identity = await who(request)
    if (FEED_ROLE !== ANYONE && !mayAct(identity.role, FEED_ROLE)) throw tooSmall(identity, FEED_ROLE)
    if (feed.isFull()) {
      throw new HttpProblem(503, 'Cannot open the live feed: as many screens follow it as are allowed', {
        headers: { 'Retry-After': '30' },
      })
    }
    if (socket.destroyed) return
    live.handleUpgrade(request, socket, head, client => {
      feed.join(client, identity, url.searchParams.get('since') ?? undefined)
    })
  }

  function openMqtt(request: IncomingMessage, socket: Duplex, head: Buffer): void {
    const offered = (request.headers['sec-websocket-protocol'] ?? '').split(',').map(text => text.trim())
    if (!offered.includes(MQTT_SUBPROTOCOL)) {
      throw new HttpProblem(400, 'Cannot speak MQTT: offer the WebSocket subprotocol "mqtt"')
    }
    mqtt.handleUpgrade(request, socket, head, client => {
      const stream = createWebSocketStream(client)
      // A broken connection is no error of the process; intake hears of it by the close.
      stream.on('error', () => undefined)
      // It ends when the socket has closed and all was read. Left to itself it would then stay half open for ever.
      stream.once('end', () => stream.destroy())
      options.mqttSocket?.(stream, request)
    })
  }

  async function open(request: IncomingMessage, socket: Duplex, head: Buffer): Promise<void> {
    const { host, origin, 'sec-fetch-site': fetchSite } = request.headers
    const problem = guard({
      method: request.method ?? 'GET',
      host,
      origin,
      fetchSite: typeof fetchSite === 'string' ? fetchSite : undefined,
      webSocket: true,
    })
    if (problem) throw problem
    const url = new URL(request.url ?? '/', `http://${host}`)
    if (url.pathname === LIVE_PATH) return openLive(request, socket, head, url)
    if (url.pathname === MQTT_PATH && options.mqttSocket) return openMqtt(request, socket, head)
    throw new HttpProblem(404, `Cannot open ${url.pathname}: there is no WebSocket at this address`)
  }

  return {
    handle(request, socket, head) {
      // Whoever leaves before the answer is no error of the process.
      socket.on('error', () => undefined)
      open(request, socket, head).catch((error: unknown) => {
        const problem = asProblem(error)
        if (!problem) options.logger.error({ err: error }, 'upgrade failed')
        refuseSocket(socket, problem ?? new HttpProblem(500, 'The service failed; see its log'))
      })
    },
    close() {
      for (const client of mqtt.clients) client.terminate()
      live.close()
      mqtt.close()
    },
  }
}
