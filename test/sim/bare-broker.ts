import { createServer, type AddressInfo, type Socket } from 'node:net'
import { Aedes, type AuthenticateError } from 'aedes'
import { decodePack, type Pack } from '../../firmware-protocol/pack.ts'
import { parseTopic } from '../../firmware-protocol/topics.ts'

export interface Heard {
  readonly device: string
  readonly receivedAtMs: number
  readonly payload: Buffer
  readonly pack: Pack
}

export interface BareBroker {
  readonly port: number
  /** Every pack that came, repeats included, acknowledged or not. */
  readonly packs: Heard[]
  /** Every state message, the last will included. */
  readonly states: { device: string; retained: boolean; state: Record<string, unknown> }[]
  /** Everything that any client published, by topic. */
  readonly payloads: { topic: string; payload: Buffer }[]
  /** While true packs are taken in and never acknowledged. */
  withhold: boolean
  /** What clients have subscribed to so far. */
  readonly subscriptions: Set<string>
  /** Publishes, retained unless told otherwise. */
  tell(topic: string, payload: string, retain?: boolean): Promise<void>
  stop(): Promise<void>
}

/** A broker that knows nothing of the product: for hearing what a device really sends. */
export async function startBareBroker(
  options: { port?: number; password?: string } = {},
): Promise<BareBroker> {
  const aedes = await Aedes.createBroker({ concurrency: 0 })
  const sockets = new Set<Socket>()
  const broker: BareBroker = {
    port: 0,
    packs: [],
    states: [],
    payloads: [],
    withhold: false,
    subscriptions: new Set(),
    tell: (topic, payload, retain = true) =>
      new Promise((resolve, reject) => {
        const packet = {
          cmd: 'publish',
          topic,
          payload: Buffer.from(payload),
          qos: 1,
          retain,
          dup: false,
        } as const
        aedes.publish(packet, error => (error ? reject(error) : resolve()))
      }),
    stop: async () => {
      for (const socket of sockets) socket.destroy()
      await new Promise(resolve => server.close(resolve))
      await new Promise<void>(resolve => aedes.close(resolve))
    },
  }
  aedes.on('subscribe', subscriptions => {
    for (const { topic } of subscriptions) broker.subscriptions.add(topic)
  })
  aedes.authenticate = (_client, _user, password, done) => {
    if (options.password === undefined || password?.toString() === options.password) return done(null, true)
    const refusal: AuthenticateError = Object.assign(new Error('bad password'), { returnCode: 5 })
    done(refusal, false)
  }
  aedes.authorizePublish = (_client, packet, done) => {
    const payload = Buffer.from(packet.payload)
    const place = parseTopic(packet.topic)
    broker.payloads.push({ topic: packet.topic, payload })
    if (place?.kind === 'measurements') {
      broker.packs.push({
        device: place.device,
        receivedAtMs: Date.now(),
        payload,
        pack: decodePack(payload),
      })
      if (broker.withhold) return
    } else if (place?.kind === 'state') {
      broker.states.push({
        device: place.device,
        retained: packet.retain,
        state: JSON.parse(payload.toString()) as Record<string, unknown>,
      })
    }
    done(null)
  }
  const server = createServer(socket => {
    sockets.add(socket)
    socket.on('close', () => sockets.delete(socket))
    aedes.handle(socket)
  })
  await new Promise<void>(resolve => void server.listen(options.port ?? 0, '127.0.0.1', resolve))
  return Object.assign(broker, { port: (server.address() as AddressInfo).port })
}

/** Waits until `met` holds; fails with `what` after fifteen seconds. */
export async function until(what: string, met: () => boolean): Promise<void> {
  const deadline = Date.now() + 15_000
  while (!met()) {
    if (Date.now() > deadline) throw new Error(`never happened: ${what}`)
    await new Promise(resolve => setTimeout(resolve, 5))
  }
}

/** Packs with repeats left out, by boot and number. Fails when a repeat differs in what it carries. */
export function withoutRepeats(packs: readonly Heard[]): Heard[] {
  const first = new Map<string, Heard>()
  for (const heard of packs) {
    const key = `${heard.device} ${heard.pack.boot} ${heard.pack.seq}`
    const before = first.get(key)
    if (!before) first.set(key, heard)
    else if (valuesOf(before) !== valuesOf(heard)) throw new Error(`pack ${key} came twice and differs`)
  }
  return [...first.values()]
}

function valuesOf({ pack }: Heard): string {
  return JSON.stringify(pack.measurements.map(({ name, value }) => [name, value]))
}
