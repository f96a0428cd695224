import type { Clock } from './clock.ts'
import type { AdoptedBook } from './devices/adopted-book.ts'
import { addBridge, listBridges, removeBridge, type BridgeStore } from './devices/bridges.ts'
import { numbersOf, type SeenTopics } from './intake/seen-topics.ts'
import type { OthersSensors } from './web/others-sensors.ts'

/** Sensors that are there already, as the web asks for them. */
export function othersSensors(parts: {
  readonly store: BridgeStore
  readonly seen: SeenTopics
  readonly book: AdoptedBook
  readonly clock: Clock
  /** Somebody looks for topics. */
  readonly onLook: () => void
  /** The credentials of this name are no longer good. */
  readonly expel: (name: string) => void
}): OthersSensors {
  const { store, seen, book, clock, onLook, expel } = parts
  return {
    seen() {
      onLook()
      return seen.list().map(topic => ({
        topic: topic.topic,
        bridge: topic.by,
        at: new Date(topic.atMs).toISOString(),
        count: topic.count,
        text: textOf(topic.payload),
        bytes: topic.bytes,
        retained: topic.retained,
        numbers: numbersOf(topic),
      }))
    },
    refused: () =>
      seen.refused().map(({ bridge, topic, count, atMs }) => ({
        ...{ bridge, topic, count },
        at: new Date(atMs).toISOString(),
      })),
    adopted: () => book.list(),
    adopt: topic => book.adopt(topic),
    drop: id => book.drop(id),
    bridges: () => listBridges(store),
    addBridge: bridge => addBridge(store, { ...bridge, nowMs: clock() }),
    async removeBridge(name) {
      await removeBridge(store, name)
      expel(name)
    },
  }
}

/** What is no text shows as dots. */
function textOf(payload: Uint8Array): string {
  return Buffer.from(payload)
    .toString('utf8')
    .replace(/\p{Cc}|\uFFFD/gu, '·')
}
