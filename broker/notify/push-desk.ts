import { RoomError, RoomErrorKind } from '../room/contract.ts'
import { ChannelKind } from './contract.ts'
import type { Desk } from './desk.ts'
import type { Address, Person } from './people.ts'
import { phoneId, readSubscription, writeSubscription, wrongWith } from './push-subscription.ts'
import type { PushRules, PushSubscription } from './push-subscription.ts'
import { loadNotifySettings, type DocumentStore } from './settings.ts'

/** A browser that is called, for a screen: its address is as good as a key, and is not told. */
export interface Phone {
  /** The beginning of the SHA-256 of its endpoint, so that a browser finds itself among them. */
  readonly id: string
  readonly name: string
  readonly personId: string
  readonly person: string
}

/** A browser that was called and is no longer: it said so itself. */
export interface LostPhone {
  readonly name: string
  readonly person: string
  readonly atMs: number
}

export interface Phones {
  /** Browsers subscribe with it; base64url. */
  readonly publicKey: string
  readonly people: readonly { readonly id: string; readonly name: string }[]
  readonly phones: readonly Phone[]
  /** The newest first. */
  readonly lost: readonly LostPhone[]
}

export interface NewPhone {
  /** What the person calls it: "my phone". */
  readonly name: string
  /** Whose it is. Somebody who is not called yet is added, to be called for everything at any hour. */
  readonly person: string
  readonly subscription: PushSubscription
}

export interface PushDeskParts {
  readonly store: DocumentStore
  readonly desk: Pick<Desk, 'settings' | 'change' | 'addAddress' | 'dropAddress' | 'test'>
  readonly publicKey: string
  readonly clock: () => number
  readonly rules?: PushRules
}

const LOST = 'push-lost'
/** How many phones that are gone are remembered. */
const LOST_LIMIT = 10

interface Found {
  readonly person: Person
  readonly address: Address
  readonly phone: Phone
}

/** What the web offers of calling phones: a subscription is an address of a person, like an e-mail address. */
export class PushDesk {
  readonly #parts: PushDeskParts
  /** One act after the other: adding looks first and changes then. */
  #acting: Promise<unknown> = Promise.resolve()

  constructor(parts: PushDeskParts) {
    this.#parts = parts
  }

  async look(): Promise<Phones> {
    const { people } = this.#parts.desk.settings()
    return {
      publicKey: this.#parts.publicKey,
      people: people.map(({ id, name }) => ({ id, name })),
      phones: (await this.#found()).map(({ phone }) => phone),
      lost: await this.#lost(),
    }
  }

  /**
   * A browser that is known already is changed: browsers renew their keys, and people rename their phones.
   * @throws RoomError of kind `invalid` that names the field.
   */
  add(input: NewPhone): Promise<Phone> {
    return this.#inTurn(async () => {
      const { desk, rules } = this.#parts
      const wrong = wrongWith(input.subscription, rules)
      if (wrong !== null)
        throw new RoomError(RoomErrorKind.invalid, `Cannot call this phone: ${wrong}`, 'subscription')
      const id = phoneId(input.subscription.endpoint)
      const before = (await this.#found()).filter(({ phone }) => phone.id === id)
      const personId = await this.#personNamed(input.person)
      const added = await desk.addAddress(personId, {
        kind: ChannelKind.push,
        address: writeSubscription(input.subscription),
        label: input.name,
        fromPriority: before[0]?.address.fromPriority ?? 'low',
        reminders: before[0]?.address.reminders ?? true,
      })
      for (const { person, address } of before)
        if (address.id !== added.id || person.id !== personId) await desk.dropAddress(person.id, address.id)
      await this.#keepLost(
        (await this.#lost()).filter(each => each.name !== input.name || each.person !== input.person),
      )
      return { id, name: input.name, personId, person: input.person }
    })
  }

  /** @throws RoomError of kind `not-found`. */
  drop(id: string): Promise<void> {
    return this.#inTurn(async () => {
      const { person, address } = await this.#one(id)
      await this.#parts.desk.dropAddress(person.id, address.id)
    })
  }

  /** Calls this phone alone, at once. */
  async test(id: string): Promise<{ arrived: boolean; words: string }> {
    const { person, address } = await this.#one(id)
    const result = await this.#parts.desk.test(person.id, address.id)
    // What the phone answered may take it out: whoever looks next shall see that.
    await this.#acting
    return result
  }

  /** A browser said that it takes no more calls: it is taken out, and that is remembered for whoever looks. */
  gone(address: string): Promise<void> {
    return this.#inTurn(async () => {
      const found = (await this.#found()).filter(each => each.address.address === address)
      for (const { person, address: row, phone } of found) {
        await this.#parts.desk.dropAddress(person.id, row.id)
        const lost = { name: phone.name, person: phone.person, atMs: this.#parts.clock() }
        await this.#keepLost([lost, ...(await this.#lost())].slice(0, LOST_LIMIT))
      }
    })
  }

  async #found(): Promise<Found[]> {
    const { people } = await loadNotifySettings(this.#parts.store)
    return people.flatMap(person =>
      person.addresses
        .filter(({ kind }) => kind === ChannelKind.push)
        .map(address => {
          const endpoint = readSubscription(address.address, this.#parts.rules)?.endpoint ?? address.address
          const phone = {
            id: phoneId(endpoint),
            name: address.label,
            personId: person.id,
            person: person.name,
          }
          return { person, address, phone }
        }),
    )
  }

  async #one(id: string): Promise<Found> {
    const found = (await this.#found()).find(({ phone }) => phone.id === id)
    if (found) return found
    throw new RoomError(RoomErrorKind.notFound, `Cannot find phone: none that is called has the id ${id}`)
  }

  async #personNamed(name: string): Promise<string> {
    const { desk } = this.#parts
    const now = desk.settings()
    const known = now.people.find(person => sameName(person.name, name))
    if (known) return known.id
    const { email, people, tellWhenOver, publicUrl } = now
    const changed = await desk.change({
      tellWhenOver,
      publicUrl,
      webhook: {},
      email: email === null ? null : withoutFlag(email),
      people: [
        // An address that is left out stays as it is.
        ...people.map(person => ({
          ...person,
          addresses: person.addresses.map(({ address: _, ...rest }) => rest),
        })),
        { name, afterMinutes: 0, hours: null, criticalAnyHour: true, addresses: [] },
      ],
    })
    return changed.people.find(person => sameName(person.name, name))!.id
  }

  async #lost(): Promise<LostPhone[]> {
    return JSON.parse((await this.#parts.store.document(LOST)) ?? '[]') as LostPhone[]
  }

  async #keepLost(lost: readonly LostPhone[]): Promise<void> {
    const json = JSON.stringify(lost)
    if (json !== ((await this.#parts.store.document(LOST)) ?? '[]'))
      await this.#parts.store.keepDocument(LOST, json)
  }

  #inTurn<T>(act: () => Promise<T>): Promise<T> {
    const mine = this.#acting.then(act)
    this.#acting = mine.catch(() => undefined)
    return mine
  }
}

const sameName = (one: string, other: string): boolean =>
  one.trim().toLocaleLowerCase('en') === other.trim().toLocaleLowerCase('en')

function withoutFlag<T extends { hasPassword: boolean }>({
  hasPassword: _,
  ...rest
}: T): Omit<T, 'hasPassword'> {
  return rest
}
