import type { IncomingMessage } from 'node:http'
import { createServer as createPlainServer } from 'node:net'
import type { AddressInfo, Server, Socket } from 'node:net'
import type { Duplex } from 'node:stream'
import { createServer as createTlsServer, type Server as TlsServer } from 'node:tls'
import { Aedes } from 'aedes'
import type { Client } from 'aedes'
import type { Clock } from '../clock.ts'
import { Doorway } from '../doorway.ts'
import type { Adoptions } from './adopted.ts'
import { createBridgeDesk } from './bridge-desk.ts'
import type { SeenTopics } from './seen-topics.ts'
import type { TlsSource } from '../tls/source.ts'
import { MAX_PAYLOAD_BYTES } from '../../firmware-protocol/pack.ts'
import { createDesk, skipNowhere } from './desk.ts'
import { watchFrames } from './frame-watch.ts'
import { SILENT } from './logger.ts'
import type { IntakeLogger } from './logger.ts'
import type { DeviceRegistry, Outlet } from './outlet.ts'
import { Presence } from './presence.ts'
import { createReceiver } from './receive.ts'
import { boundSessions } from './sessions.ts'
import { StraightLane } from './straight-lane.ts'
import { createSignIn, MAX_IDENTIFIER } from './sign-in.ts'
import { newCounts, Refusal, snapshot } from './stats.ts'
import type { IntakeStats } from './stats.ts'

export interface EmbeddedIntakeOptions {
  readonly registry: DeviceRegistry
  readonly outlet: Outlet
  readonly clock: Clock
  /** Topics of others that are read as devices; without it there are none. */
  readonly adoptions?: Adoptions
  /** Told of what bridges publish. */
  readonly seen?: SeenTopics
  readonly logger?: IntakeLogger
  /** The link is encrypted with this; left out, it is not. */
  readonly tls?: TlsSource
  /** Connections held at once; one more is closed unread. */
  readonly maxConnections?: number
  /** How long a device that could not be served waits until its connection ends, and it tries again. */
  readonly pauseMs?: number
}

export interface EmbeddedIntake {
  /** Listens for MQTT over TCP. Rejects when the address is taken. */
  start(host: string, port: number): Promise<{ host: string; port: number }>
  /** Where the link is encrypted: takes those that cannot encrypt at another address, in the clear. */
  startClear(host: string, port: number): Promise<{ host: string; port: number }>
  /** Takes over a byte stream that speaks MQTT, such as a WebSocket's. Works without {@link start}. */
  readonly handleSocket: (stream: Duplex, request?: IncomingMessage) => void
  /** To the devices that subscribed; with `retain` also to those that will. */
  publish(topic: string, payload: Uint8Array | string, options?: { retain?: boolean }): Promise<void>
  /** Ends the connections of a device or a bridge: its credentials are no longer good. */
  expel(device: string): void
  stats(): IntakeStats
  close(): Promise<void>
}

/** aedes notes on a stream whose it is. */
type Carrying = Duplex & { readonly client?: Client }

const MAX_CONNECTIONS = 1000
const PAUSE_MS = 1000
/** A CONNECT holds identifier, will, user name and password. */
const CONNECT_BYTES = 8 * 1024
/** Up to here a message that is too long is still read, acknowledged and set aside; beyond, the connection ends. */
const PACKET_BYTES = 4 * MAX_PAYLOAD_BYTES
const CONNECT_TIMEOUT_MS = 10_000
/** A subscriber that reads nothing for so long is cut off. */
const DRAIN_TIMEOUT_MS = 5000
/** Our topics have four levels, a wrong one may have a few more. */
const TOPIC_LEVELS = 10
/** Connections beside the others that may be about their TLS handshake. */
const HANDSHAKES = 100
const TCP_PROBE_MS = 60_000

/** An MQTT 3.1.1 broker in this process, for devices only. */
export function createEmbeddedIntake(options: EmbeddedIntakeOptions): EmbeddedIntake {
  const { registry, outlet, clock, logger = SILENT } = options
  const maxConnections = options.maxConnections ?? MAX_CONNECTIONS
  const counts = newCounts()
  const presence = new Presence()
  const connections = new Doorway(maxConnections)
  let closing = false

  const signIn = createSignIn({
    verify: (device, password) => registry.verify(device, password),
    bridge: (name, password) => registry.bridge?.(name, password) ?? Promise.resolve(undefined),
    counts,
    logger,
    mayWait: maxConnections,
  })
  const receiver = createReceiver({ outlet, registry, clock, logger, counts })
  const desk = createDesk({
    receiver,
    rightsOf: signIn.rightsOf,
    bridgeOf: signIn.bridgeOf,
    bridges: createBridgeDesk({
      receiver,
      adoptions: options.adoptions,
      seen: options.seen,
      counts,
      logger,
      clock,
    }),
    presence,
    counts,
    logger,
    pause: end => void setTimeout(end, options.pauseMs ?? PAUSE_MS),
  })
  const broker = new Aedes({
    // The default, 100, ends the process: a subscriber that stops reading and goes away overflows the stack.
    concurrency: 0,
    drainTimeout: DRAIN_TIMEOUT_MS,
    connectTimeout: CONNECT_TIMEOUT_MS,
    maxTopicLevels: TOPIC_LEVELS,
    // MQTT 3.1 allows 23; the device's name is put before what the client sent.
    maxClientsIdLength: MAX_IDENTIFIER + 64,
    maxInflightInbound: 100,
    preConnect: signIn.preConnect,
    authenticate: signIn.authenticate,
    authorizePublish: desk.authorizePublish,
    authorizeSubscribe: desk.authorizeSubscribe,
    authorizeForward: desk.authorizeForward,
  })
  // Prepared once, and not before somebody needs it: it starts timers.
  let prepared: Promise<void> | undefined
  const prepare = () =>
    (prepared ??= broker.listen().then(() => {
      boundSessions(broker, signIn.bridgeNamed)
      skipNowhere(broker)
    }))

  broker.on('clientReady', client => {
    connections.admit(client.conn)
    const device = signIn.rightsOf(client)?.device
    if (device === undefined || client.closed) return
    presence.arrive(device, client)
    outlet.report({ device, online: true, receivedAtMs: clock() })
  })
  broker.on('clientDisconnect', client => {
    const device = signIn.rightsOf(client)?.device
    if (device !== undefined && presence.leave(device, client) && !closing)
      outlet.report({ device, online: false, receivedAtMs: clock() })
  })
  const troubled = (client: Client, error: Error) =>
    logger.info({ client: client.id, error: error.message }, 'an MQTT connection ended')
  broker.on('clientError', troubled)
  broker.on('connectionError', troubled)
  // Without a listener an 'error' event ends the process; aedes emits it for its own store, which is memory.
  broker.on(
    'error' as 'closed',
    ((error: unknown) => logger.error({ error }, 'the MQTT broker failed')) as () => void,
  )

  /** Said once, and again after half of the room was free. */
  let full = false
  function refuse(): void {
    counts.refused[Refusal.connections]++
    if (!full) logger.warn({}, `no more connections are taken: ${maxConnections} are held already`)
    full = true
  }

  function take(stream: Duplex, request?: IncomingMessage): void {
    if (closing || !connections.enter(stream)) {
      if (!closing) refuse()
      stream.destroy()
      return
    }
    if (connections.size < maxConnections / 2) full = false
    stream.on('error', () => {})
    const lane = new StraightLane({
      client: () => (stream as Carrying).client,
      deskOf: desk.straight,
      resume: () => void stream.emit('readable'),
      longest: PACKET_BYTES,
    })
    const tooLong = () => {
      counts.refused[Refusal.packetLength]++
      logger.warn({}, `an MQTT packet of more than ${PACKET_BYTES} bytes ended its connection`)
    }
    watchFrames(stream, { first: CONNECT_BYTES, later: PACKET_BYTES }, tooLong, lane)
    broker.handle(stream, request)
  }

  const probing = { keepAlive: true, keepAliveInitialDelay: TCP_PROBE_MS }
  const onSocket = (socket: Socket): void => {
    socket.setNoDelay(true)
    take(socket)
  }
  const { tls } = options
  const server: Server = tls
    ? createTlsServer({ ...probing, ...tls.pair, handshakeTimeout: CONNECT_TIMEOUT_MS }, onSocket)
    : createPlainServer(probing, onSocket)
  if (tls) {
    // Who never ends the handshake holds a socket too.
    server.maxConnections = maxConnections + HANDSHAKES
    tls.onChange(pair => (server as TlsServer).setSecureContext(pair))
  }

  let clear: Server | null = null

  async function listen(on: Server, host: string, port: number): Promise<{ host: string; port: number }> {
    await prepare()
    await new Promise<void>((resolve, reject) => {
      on.once('error', reject)
      on.listen(port, host, () => {
        on.off('error', reject)
        on.on('error', error => logger.error({ error }, 'the MQTT port failed'))
        resolve()
      })
    })
    return { host, port: (on.address() as AddressInfo).port }
  }

  return {
    start: (host, port) => listen(server, host, port),
    startClear: (host, port) => listen((clear ??= createPlainServer(probing, onSocket)), host, port),

    handleSocket(stream, request) {
      prepare().then(
        () => take(stream, request),
        () => stream.destroy(),
      )
    },

    async publish(topic, payload, { retain = false } = {}) {
      await prepare()
      await new Promise<void>((resolve, reject) => {
        const packet = {
          cmd: 'publish',
          topic,
          payload: Buffer.from(payload),
          qos: 1,
          retain,
          dup: false,
        } as const
        broker.publish(packet, error => (error ? reject(error) : resolve()))
      })
    },

    expel(device) {
      for (const stream of connections) {
        const { client } = stream as Carrying
        if (!client) continue
        if (signIn.rightsOf(client)?.device === device || signIn.bridgeOf(client)?.bridge === device)
          client.close()
      }
    },

    stats: () => ({ ...snapshot(counts), clients: presence.devices }),

    async close() {
      if (closing) return
      closing = true
      const closed = [server, clear].map(each =>
        each?.listening ? new Promise<void>(resolve => each.close(() => resolve())) : undefined,
      )
      if (prepared) {
        await prepared.catch(() => {})
        await new Promise<void>(resolve => broker.close(() => resolve()))
      }
      for (const stream of connections) stream.destroy()
      await Promise.all(closed.filter(each => each !== undefined))
    },
  }
}
