import type { Clock } from '../clock.ts'
import type { Adoptions } from './adopted.ts'
import type { IntakeLogger } from './logger.ts'
import type { Kept } from './outlet.ts'
import type { Receiver } from './receive.ts'
import type { BridgeRights } from './rights.ts'
import { bridgeMayPublish } from './rights.ts'
import type { SeenTopics } from './seen-topics.ts'
import type { Counts } from './stats.ts'
import { Refusal } from './stats.ts'

/** So many topics of others may be retained here, each of at most so many bytes: they lie in memory. What is more is handed on only. */
const MOST_RETAINED = 1000
const RETAINED_BYTES = 16 * 1024

interface Published {
  readonly topic: string
  readonly payload: string | Buffer
  retain: boolean
}

/** What bridges publish: handed on among bridges as by any broker, and read where a topic was adopted. */
export interface BridgeDesk {
  /** Whether the bridge may publish this; if so it is noted as seen, and retained within bounds. */
  admit(bridge: BridgeRights, packet: Published): boolean
  /** Reads it if its topic was adopted; `kept` is called when it may be acknowledged. */
  take(packet: Published, kept: Kept): void
}

export function createBridgeDesk(parts: {
  readonly receiver: Receiver
  readonly adoptions: Adoptions | undefined
  readonly seen: SeenTopics | undefined
  readonly counts: Counts
  readonly logger: IntakeLogger
  readonly clock: Clock
}): BridgeDesk {
  const retained = new Set<string>()
  return {
    admit(bridge, packet) {
      const { topic } = packet
      if (!bridgeMayPublish(bridge, topic)) {
        parts.counts.refused[Refusal.publish]++
        parts.seen?.refuse(bridge.bridge, topic, parts.clock())
        parts.logger.warn(
          { bridge: bridge.bridge, topic },
          'a message on a topic that is not of its filters was refused',
        )
        return false
      }
      if (packet.retain) {
        // An empty one ends what was retained: MQTT 3.1.1 clause 3.3.1-10.
        if (packet.payload.length === 0) retained.delete(topic)
        else if (
          packet.payload.length > RETAINED_BYTES ||
          (retained.size >= MOST_RETAINED && !retained.has(topic))
        )
          packet.retain = false
        else retained.add(topic)
      }
      // A message that is sent with the wish to be retained is of now; one that was retained comes from a broker alone.
      parts.seen?.note(topic, bytesOf(packet), bridge.bridge, false, parts.clock())
      return true
    },
    take(packet, kept) {
      const adopted = parts.adoptions?.of(packet.topic) ?? []
      // Nobody's reading: there is nothing to keep.
      if (adopted.length === 0) return kept(null)
      parts.receiver.adopted(packet.topic, adopted, bytesOf(packet), kept)
    },
  }
}

function bytesOf({ payload }: Published): Uint8Array {
  return typeof payload === 'string' ? Buffer.from(payload) : payload
}
