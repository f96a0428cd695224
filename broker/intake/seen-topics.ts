import { type NumberAt, numberOf, numbersIn } from './pointer.ts'

/** So many topics are remembered; the one that was silent for longest makes room for a new one. */
export const MOST_SEEN = 500
/** So much of a payload is kept to be shown. */
export const SEEN_BYTES = 2048

/** A topic that somebody published on lately, outside of our devices'. */
export interface SeenTopic {
  readonly topic: string
  /** Whose credentials brought it; `null` behind an external broker, which does not tell. */
  readonly by: string | null
  readonly atMs: number
  readonly count: number
  /** The newest message, cut at {@link SEEN_BYTES}, and its whole length. */
  readonly payload: Uint8Array
  readonly bytes: number
  /** It was kept by the broker: nobody knows how old it is. */
  readonly retained: boolean
}

/** So many wrong topics are remembered; the one that was silent for longest makes room for a new one. */
export const MOST_REFUSED = 50
/** So much of such a topic is kept, in characters. */
const REFUSED_TOPIC = 256

/** Where a bridge sent what it may not. */
export interface RefusedTopic {
  readonly bridge: string
  readonly topic: string
  readonly atMs: number
  readonly count: number
}

/** The topics seen lately, for whoever looks for a sensor that is there already. Nothing of it is kept over a start. */
export class SeenTopics {
  readonly #topics = new Map<string, SeenTopic>()
  readonly #refused = new Map<string, RefusedTopic>()

  note(topic: string, payload: Uint8Array, by: string | null, retained: boolean, atMs: number): void {
    const before = this.#topics.get(topic)
    // Put last again, so that the first is the one silent for longest.
    this.#topics.delete(topic)
    if (this.#topics.size >= MOST_SEEN) this.#topics.delete(this.#topics.keys().next().value!)
    this.#topics.set(topic, {
      topic,
      by,
      atMs,
      count: (before?.count ?? 0) + 1,
      payload: Uint8Array.from(payload.subarray(0, SEEN_BYTES)),
      bytes: payload.length,
      retained,
    })
  }

  /** A bridge sent to a topic that is not of its filters. */
  refuse(bridge: string, topic: string, atMs: number): void {
    const cut = topic.slice(0, REFUSED_TOPIC)
    const key = `${bridge}\n${cut}`
    const count = (this.#refused.get(key)?.count ?? 0) + 1
    this.#refused.delete(key)
    if (this.#refused.size >= MOST_REFUSED) this.#refused.delete(this.#refused.keys().next().value!)
    this.#refused.set(key, { bridge, topic: cut, atMs, count })
  }

  /** The one that came last first. */
  refused(): RefusedTopic[] {
    return [...this.#refused.values()].reverse()
  }

  /** The one heard last first. */
  list(): SeenTopic[] {
    return [...this.#topics.values()].reverse()
  }
}

/** What of a message can be adopted: the number that it is (`null` for a pointer), or those in its document. */
export function numbersOf({ payload, bytes }: SeenTopic): { pointer: string | null; value: number }[] {
  if (bytes > payload.length) return []
  const text = Buffer.from(payload).toString('utf8')
  const whole = numberOf(text)
  if (whole !== null) return [{ pointer: null, value: whole }]
  try {
    return numbersIn(JSON.parse(text)) satisfies NumberAt[]
  } catch {
    return []
  }
}
