import { z } from 'zod'
import { KEPT_UNIT, quantityOf, unitsOf } from '../../firmware-protocol/channels.ts'
import { isDeviceName } from '../../firmware-protocol/topics.ts'
import type { AdoptedTopic, Adoptions } from '../intake/adopted.ts'
import { isPointer } from '../intake/pointer.ts'
import { isReserved, isTopicName } from '../intake/topic-filter.ts'
import { RoomError, RoomErrorKind } from '../room/contract.ts'
import type { Store } from '../store/contract.ts'

const DOCUMENT = 'adopted-topics'
/** So many numbers of others may be read. Own choice: a few for each vessel that a room has in practice. */
export const ADOPTED_LIMIT = 200

const Kept = z.array(
  z.object({
    id: z.string(),
    topic: z.string(),
    pointer: z.string().nullable(),
    device: z.string(),
    channel: z.string(),
    unit: z.string(),
    scale: z.number(),
    offset: z.number(),
  }),
)

export type NewAdoptedTopic = Omit<AdoptedTopic, 'id'>

export interface AdoptedBookParts {
  readonly store: Pick<Store, 'document' | 'keepDocument' | 'devices'>
  readonly newId: () => string
  /** The topics have changed, and are on disk. */
  readonly onChange?: () => void
}

/** The topics of others that are read as channels of devices. */
export class AdoptedBook implements Adoptions {
  readonly #parts: AdoptedBookParts
  #all: readonly AdoptedTopic[]
  #byTopic = new Map<string, AdoptedTopic[]>()
  #changing: Promise<unknown> = Promise.resolve()

  private constructor(parts: AdoptedBookParts, all: readonly AdoptedTopic[]) {
    this.#parts = parts
    this.#all = all
    this.#index()
  }

  static async open(parts: AdoptedBookParts): Promise<AdoptedBook> {
    const json = await parts.store.document(DOCUMENT)
    return new AdoptedBook(parts, json === undefined ? [] : Kept.parse(JSON.parse(json)))
  }

  of(topic: string): readonly AdoptedTopic[] {
    return this.#byTopic.get(topic) ?? NONE
  }
  topics(): readonly string[] {
    return [...this.#byTopic.keys()]
  }
  list(): readonly AdoptedTopic[] {
    return this.#all
  }

  /** From now on the number is read. @throws RoomError of kind `invalid` or `conflict`, with the field at fault. */
  adopt(sent: NewAdoptedTopic): Promise<AdoptedTopic> {
    return this.#inTurn(async () => {
      check(sent)
      if (this.#all.length >= ADOPTED_LIMIT)
        throw new RoomError(
          RoomErrorKind.conflict,
          `Cannot adopt a topic: there are ${ADOPTED_LIMIT} already`,
        )
      const { device, channel } = sent
      if (this.#all.some(one => one.device === device && one.channel === channel))
        throw new RoomError(
          RoomErrorKind.conflict,
          `Cannot adopt a topic: ${device}/${channel} is read from another one already`,
          'channel',
        )
      const own = (await this.#parts.store.devices()).some(
        ({ name, revokedAtMs }) => name === device && revokedAtMs === null,
      )
      if (own)
        throw new RoomError(
          RoomErrorKind.conflict,
          `Cannot adopt a topic: ${device} is a device that speaks for itself; choose another name`,
          'device',
        )
      const adopted = { ...sent, id: this.#parts.newId() }
      await this.#keep([...this.#all, adopted])
      return adopted
    })
  }

  /** It is read no more; what was read stays. */
  drop(id: string): Promise<void> {
    return this.#inTurn(async () => {
      if (!this.#all.some(one => one.id === id))
        throw new RoomError(
          RoomErrorKind.notFound,
          `Cannot find adopted topic: there is none with the id ${id}`,
        )
      await this.#keep(this.#all.filter(one => one.id !== id))
    })
  }

  async #keep(all: readonly AdoptedTopic[]): Promise<void> {
    await this.#parts.store.keepDocument(DOCUMENT, JSON.stringify(all))
    this.#all = all
    this.#index()
    this.#parts.onChange?.()
  }

  #index(): void {
    this.#byTopic = new Map()
    for (const one of this.#all) {
      const known = this.#byTopic.get(one.topic)
      if (known) known.push(one)
      else this.#byTopic.set(one.topic, [one])
    }
  }

  #inTurn<Result>(work: () => Promise<Result>): Promise<Result> {
    const mine = this.#changing.then(work)
    this.#changing = mine.catch(() => undefined)
    return mine
  }
}

const NONE: readonly AdoptedTopic[] = []
/** A SenML name without the spaces and signs that it may not have (RFC 8428 section 4.5.1). */
const CHANNEL = /^[A-Za-z0-9][A-Za-z0-9:./_-]{0,79}$/

function check({ topic, pointer, device, channel, unit, scale, offset }: NewAdoptedTopic): void {
  const refuse = (field: string, why: string): never => {
    throw new RoomError(RoomErrorKind.invalid, `Cannot adopt a topic: ${why}`, field)
  }
  if (!isTopicName(topic)) refuse('topic', `name one topic without + and #, got "${topic.slice(0, 80)}"`)
  if (isReserved(topic)) refuse('topic', `${topic} is one of brinewatch's or of the broker's own`)
  if (pointer !== null && !isPointer(pointer))
    refuse('pointer', `a pointer into JSON is written like /sensors/0/t, got "${pointer.slice(0, 80)}"`)
  if (!isDeviceName(device))
    refuse('device', 'use 1 to 63 letters, digits, "-" and "_", beginning with a letter or digit')
  if (!CHANNEL.test(channel)) refuse('channel', 'a channel is called like water, or 2/air')
  const quantity = quantityOf(channel)
  if (quantity !== undefined && !unitsOf(quantity).includes(unit))
    refuse(
      'unit',
      `for ${quantity} it must come out in ${KEPT_UNIT[quantity]}; choose a scale that makes it so`,
    )
  if (unit.length > 20) refuse('unit', 'a unit is short')
  if (!Number.isFinite(scale) || scale === 0 || Math.abs(scale) > 1e9)
    refuse('scale', `the scale is a number other than 0, got ${scale}`)
  if (!Number.isFinite(offset) || Math.abs(offset) > 1e9)
    refuse('offset', `the offset is a number, got ${offset}`)
}
