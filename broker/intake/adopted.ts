import type { Measurement } from '../../firmware-protocol/pack.ts'
import { numberOf, valueAt } from './pointer.ts'
import { QuarantineReason } from './reading.ts'
import type { SetAside } from './readings.ts'

/** A topic of somebody else's sensor whose number is read as a channel of a device. */
export interface AdoptedTopic {
  readonly id: string
  /** Exactly this one: no wildcard. */
  readonly topic: string
  /** Where in a JSON document the number is, RFC 6901; `null` where the whole payload is the number. */
  readonly pointer: string | null
  /** The device and its channel that it becomes: the channel's name says what it measures, `water` or `2/air`. */
  readonly device: string
  readonly channel: string
  /** The number times `scale` plus `offset` is in this unit, as SenML writes it. */
  readonly unit: string
  readonly scale: number
  readonly offset: number
}

/** Which topics are adopted: asked at every message that is not one of our devices'. */
export interface Adoptions {
  of(topic: string): readonly AdoptedTopic[]
  topics(): readonly string[]
}

/** A number and a document around it are short; what is longer is no sensor's. */
export const MOST_ADOPTED_BYTES = 64 * 1024

/** The measurement that a message brings, or why it brings none. It was measured when it came: nothing else says when. */
export function readAdopted(adopted: AdoptedTopic, payload: Uint8Array): Measurement | SetAside {
  const { topic, pointer, channel, unit, scale, offset } = adopted
  if (payload.length > MOST_ADOPTED_BYTES)
    return {
      reason: QuarantineReason.tooLarge,
      detail: `${topic}: a message is ${MOST_ADOPTED_BYTES} bytes at most, got ${payload.length}`,
    }
  const text = Buffer.from(payload.buffer, payload.byteOffset, payload.length).toString('utf8')
  const bad = (what: string): SetAside => ({
    reason: QuarantineReason.badRecord,
    detail: `${topic}: ${what}`,
  })
  let found: unknown = text
  if (pointer !== null) {
    try {
      found = valueAt(JSON.parse(text), pointer)
    } catch (error) {
      return bad(`it is no JSON: ${error instanceof Error ? error.message.slice(0, 200) : 'cannot be read'}`)
    }
  }
  const value = numberOf(found)
  if (value === null)
    return bad(pointer === null || pointer === '' ? 'it is no number' : `there is no number at ${pointer}`)
  const scaled = value * scale + offset
  if (!Number.isFinite(scaled)) return bad(`${value} is out of all bounds`)
  return { name: channel, unit, value: scaled, timeS: 0 }
}
