import type { Aedes, AedesPublishPacket, Client, Subscription } from 'aedes'
import type { BridgeRights } from './rights.ts'
import { bridgeMaySubscribe, maySubscribe, ownerOf, rightsOf } from './rights.ts'

/** Messages that one connected client may leave unacknowledged; at the limit its connection ends. */
const UNACKNOWLEDGED = 100
/** Sessions of one device that are kept over its absence; at the limit the oldest is dropped. */
const SESSIONS_PER_DEVICE = 4

type Session = Pick<Client, 'id'>

/** The part of aedes's persistence that is bounded here; aedes does not describe it in its types. */
interface Persistence {
  addSubscriptions(client: Session, subscriptions: Subscription[]): Promise<void>
  cleanSubscriptions(client: Session): Promise<void>
  outgoingEnqueueCombi(subscribers: { clientId: string }[], packet: AedesPublishPacket): Promise<void>
  outgoingClearMessageId(client: Session, packet: AedesPublishPacket): Promise<unknown>
}

/**
 * Bounds what aedes remembers for sessions. Nothing is queued for a device that is away: config and alarm are retained
 * and come on subscribing, and a command of yesterday is not wanted. aedes's own queue has no limit.
 */
export function boundSessions(
  broker: Aedes,
  bridgeNamed: (name: string) => BridgeRights | undefined = () => undefined,
): void {
  const { persistence, clients } = broker as unknown as {
    persistence: Persistence
    clients: Readonly<Record<string, unknown>>
  }
  const waiting = new Map<string, number>()
  const sessions = new Map<string, Set<string>>()

  const enqueue = persistence.outgoingEnqueueCombi.bind(persistence)
  persistence.outgoingEnqueueCombi = (subscribers, packet) => {
    const present = subscribers.filter(({ clientId }) => {
      const count = waiting.get(clientId) ?? 0
      if (clients[clientId] === undefined || count >= UNACKNOWLEDGED) return false
      waiting.set(clientId, count + 1)
      return true
    })
    return enqueue(present, packet)
  }

  const clear = persistence.outgoingClearMessageId.bind(persistence)
  persistence.outgoingClearMessageId = async (client, packet) => {
    const cleared = await clear(client, packet)
    if (cleared !== undefined) {
      const count = (waiting.get(client.id) ?? 0) - 1
      if (count > 0) waiting.set(client.id, count)
      else waiting.delete(client.id)
    }
    return cleared
  }

  const clean = persistence.cleanSubscriptions.bind(persistence)
  persistence.cleanSubscriptions = client => {
    const device = ownerOf(client.id)
    if (device !== undefined) sessions.get(device)?.delete(client.id)
    return clean(client)
  }

  const add = persistence.addSubscriptions.bind(persistence)
  persistence.addSubscriptions = async (client, subscriptions) => {
    const device = ownerOf(client.id)
    if (device === undefined) return
    let known = sessions.get(device)
    if (!known) sessions.set(device, (known = new Set()))
    known.delete(client.id)
    known.add(client.id)
    for (const id of known) {
      if (known.size <= SESSIONS_PER_DEVICE) break
      known.delete(id)
      await clean({ id })
    }
    const bridge = bridgeNamed(device)
    const rights = rightsOf(device)
    const may = (topic: string) => (bridge ? bridgeMaySubscribe(bridge, topic) : maySubscribe(rights, topic))
    // aedes hands over the refused ones too.
    await add(
      client,
      subscriptions.filter(({ topic }) => may(topic)),
    )
  }
}
