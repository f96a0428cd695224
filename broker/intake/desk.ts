import type { Aedes, AedesOptions, Client } from 'aedes'
import { AckLine } from './ack-line.ts'
import type { BridgeDesk } from './bridge-desk.ts'
import type { IntakeLogger } from './logger.ts'
import type { Presence } from './presence.ts'
import { Pubacks } from './pubacks.ts'
import { QuarantineReason } from './reading.ts'
import type { Receiver } from './receive.ts'
import { bridgeMayPublish, bridgeMaySubscribe, hearsMeasurements, maySubscribe } from './rights.ts'
import type { BridgeRights, Rights } from './rights.ts'
import type { StraightDesk } from './straight-lane.ts'
import { Refusal } from './stats.ts'
import type { Counts } from './stats.ts'

/** Where a message goes that nobody may receive: it was taken in or set aside, and aedes publishes what it acknowledges. */
const NOWHERE = 'brinewatch/v1'
const NOTHING = Buffer.alloc(0)
/** Subscriptions of one connection. A device has five topics. */
const SUBSCRIPTIONS = 16

/** What stands between one client and its acknowledgements. */
interface Table {
  readonly line: AckLine
  readonly pubacks: Pubacks
}

export interface Desk {
  readonly authorizePublish: NonNullable<AedesOptions['authorizePublish']>
  readonly authorizeSubscribe: NonNullable<AedesOptions['authorizeSubscribe']>
  readonly authorizeForward: NonNullable<AedesOptions['authorizeForward']>
  /** Where the usual messages of this client go, past aedes; `null` for one that is no device. */
  readonly straight: (client: Client) => StraightDesk | null
}

/**
 * Who may say what to whom. `authorizePublish` is the one place where aedes waits before it acknowledges, so the readings
 * are taken in here: the callback is called once, after the commit, in each client's order, and nothing is thrown.
 */
export function createDesk(parts: {
  receiver: Receiver
  rightsOf: (client: Client) => Rights | undefined
  bridgeOf: (client: Client) => BridgeRights | undefined
  bridges: BridgeDesk
  presence: Presence
  counts: Counts
  logger: IntakeLogger
  pause: (end: () => void) => void
}): Desk {
  const { receiver, presence, counts, logger } = parts
  const tables = new WeakMap<Client, Table>()
  // Devices that listen to themselves, for whoever tries out a device; everybody else's readings go to the outlet alone.
  const listened = new Set<string>()

  function tableOf(client: Client): Table {
    let table = tables.get(client)
    if (!table) tables.set(client, (table = { line: new AckLine(parts.pause), pubacks: new Pubacks(client) }))
    return table
  }

  return {
    authorizePublish(client, packet, callback) {
      const bridge = client === null ? undefined : parts.bridgeOf(client)
      if (client !== null && bridge !== undefined) {
        if (!parts.bridges.admit(bridge, packet)) {
          // MQTT 3.1.1 clause 3.3.5-2: acknowledged, and gone nowhere, so that a bridge's other topics still come.
          nowhere(packet)
          return callback(null)
        }
        if (client.closed) return callback(null)
        const { line, pubacks } = tableOf(client)
        const settle = line.enter(error => {
          if (error !== null) {
            counts.notKept++
            return callback(error)
          }
          if (packet.qos > 0) counts.acks++
          pubacks.flush()
          callback(null)
        })
        return parts.bridges.take(packet, settle)
      }
      const rights = client === null ? undefined : parts.rightsOf(client)
      const { topic } = packet
      if (client === null || rights === undefined || !topic.startsWith(rights.prefix)) {
        counts.refused[Refusal.publish]++
        logger.warn({ device: rights?.device, topic }, 'a message on a topic of another was refused')
        return callback(new Error(`Cannot publish on ${topic}: a device publishes on its own topics only`))
      }
      const payload = typeof packet.payload === 'string' ? Buffer.from(packet.payload) : packet.payload
      const message = { device: rights.device, topic, payload }

      if (client.closed) {
        // The last will of a connection that broke.
        const away = !presence.elsewhere(rights.device, client)
        if (away && !receiver.state(message, () => {})) nowhere(packet)
        return callback(null)
      }

      const counted = packet.qos > 0
      const { line, pubacks } = tableOf(client)
      // A pack that goes nowhere else is acknowledged here, with its neighbours; aedes then has nothing left to do for it.
      const together = packet.qos === 1 && topic === rights.measurements && !listened.has(rights.device)
      const settle = line.enter(error => {
        if (error !== null) {
          counts.notKept++
          return callback(error)
        }
        if (counted) counts.acks++
        if (!together) {
          pubacks.flush()
          return callback(null)
        }
        packet.qos = 0
        pubacks.add((packet as { messageId: number }).messageId, callback)
      })
      if (topic === rights.measurements) {
        packet.retain = false
        if (!receiver.measurements(message, settle) || together || !listened.has(rights.device))
          nowhere(packet)
      } else if (topic === rights.state) {
        if (!receiver.state(message, settle)) nowhere(packet)
      } else {
        nowhere(packet)
        receiver.setAside(
          message,
          {
            reason: QuarantineReason.badTopic,
            detail: `a device publishes on ${rights.measurements} and ${rights.state} only`,
          },
          settle,
        )
      }
    },

    authorizeSubscribe(client, subscription, callback) {
      const rights = parts.rightsOf(client)
      const bridge = parts.bridgeOf(client)
      const held = (client as unknown as { subscriptions: object }).subscriptions
      const room = Object.keys(held).length < SUBSCRIPTIONS
      if (bridge && room && bridgeMaySubscribe(bridge, subscription.topic))
        return callback(null, subscription)
      if (!rights || !room || !maySubscribe(rights, subscription.topic)) {
        counts.refused[Refusal.subscribe]++
        logger.warn(
          { device: rights?.device ?? bridge?.bridge, topic: subscription.topic },
          'a subscription to topics of another was refused',
        )
        // MQTT 3.1.1 section 3.9.3: the SUBACK says 0x80, the connection stays.
        return callback(null, null)
      }
      if (hearsMeasurements(rights, subscription.topic)) listened.add(rights.device)
      callback(null, subscription)
    },

    straight(client) {
      const rights = parts.rightsOf(client)
      // The bytes of an MQTT 5 message differ; its devices go the long way.
      if (rights === undefined || (client as Client & Versioned).version === 5) return null
      const { device, measurements: topic } = rights
      const { line, pubacks } = tableOf(client)
      return {
        topic: Buffer.from(topic),
        open: () => !listened.has(device) && !client.closed,
        take(identifier, payload, released) {
          const settle = line.enter(error => {
            if (error !== null) {
              counts.notKept++
              return released(error)
            }
            counts.acks++
            pubacks.add(identifier, released)
          })
          receiver.measurements({ device, topic, payload }, settle)
        },
      }
    },

    authorizeForward(client, packet) {
      const bridge = parts.bridgeOf(client)
      if (bridge) return bridgeMayPublish(bridge, packet.topic) ? packet : null
      const rights = parts.rightsOf(client)
      return rights && packet.topic.startsWith(rights.prefix) ? packet : null
    },
  }
}

/**
 * Lets aedes skip its routing for what goes nowhere: finding no subscriber costs it more than reading the pack costs us.
 */
export function skipNowhere(broker: Aedes): void {
  const routed = broker as unknown as { publish: Publish }
  const publish = routed.publish.bind(broker)
  routed.publish = (packet, client, done) => {
    if (packet.topic !== NOWHERE) publish(packet, client, done)
    else if (typeof client === 'function') client()
    else done?.()
  }
}

interface Versioned {
  /** 3, 4 or 5, as CONNECT said: MQTT 3.1.1 section 3.1.2.2. */
  readonly version: number | null
}

type Done = (error?: Error) => void
type Publish = (packet: { topic: string }, client: Client | Done | null, done?: Done) => void

function nowhere(packet: { topic: string; payload: string | Buffer; retain: boolean }): void {
  packet.topic = NOWHERE
  packet.payload = NOTHING
  packet.retain = false
}
