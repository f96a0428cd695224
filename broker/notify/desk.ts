import type { Room } from '../room/contract.ts'
import { RoomError, RoomErrorKind } from '../room/contract.ts'
import { Priority, type Alarm } from '../rules/alarm.ts'
import type { DeliveryState, Store } from '../store/contract.ts'
import { readToken } from './acknowledge-token.ts'
import { attempt } from './attempt.ts'
import type { ChannelHealth } from './channel-health.ts'
import { MessageAbout, Occasion, type Channel, type ChannelKind, type Message } from './contract.ts'
import { fromRow, newDelivery, toRow } from './delivery.ts'
import {
  ADDRESSES_LIMIT,
  type Address,
  type NotifySettings,
  type Person,
  type SmtpSettings,
} from './people.ts'
import { checkSettings } from './check-settings.ts'
import { testWords } from './words.ts'

/** What a screen gets to see: no password and no secret, and no push subscription. */
export interface ShownSettings {
  readonly people: readonly ShownPerson[]
  readonly tellWhenOver: boolean
  readonly publicUrl: string | null
  /** What links begin with now. */
  readonly linkBase: string | null
  readonly email: (Omit<SmtpSettings, 'password'> & { readonly hasPassword: boolean }) | null
  readonly webhook: { readonly hasSecret: boolean }
  readonly push: NotifySettings['push']
  readonly channels: readonly {
    readonly kind: ChannelKind
    readonly usable: boolean
    readonly failing: boolean
  }[]
}
export type ShownPerson = Omit<Person, 'addresses'> & {
  readonly addresses: readonly (Omit<Address, 'address' | 'remindedSinceMs'> & {
    readonly address: string | null
  })[]
}

/** What a screen may send. A secret that is left out stays as it is; `null` takes it away. */
export interface NewSettings {
  readonly people: readonly (Omit<Person, 'id' | 'addresses'> & {
    readonly id?: string
    /** An address left out stays as it is. */
    readonly addresses: readonly (Omit<Address, 'id' | 'address' | 'remindedSinceMs'> & {
      readonly id?: string
      readonly address?: string
    })[]
  })[]
  readonly tellWhenOver: boolean
  readonly publicUrl: string | null
  readonly email: (Omit<SmtpSettings, 'password'> & { readonly password?: string | null }) | null
  readonly webhook: { readonly secret?: string | null }
  /** Left out it stays as it is. */
  readonly push?: NotifySettings['push']
}

/** One delivery as it is shown. */
export interface ShownDelivery {
  readonly id: string
  readonly kind: string
  readonly about: Message['about']
  readonly occasion: Message['occasion']
  readonly title: string
  readonly priority: Message['priority']
  readonly alarmId: string | null
  /** Empty for somebody who is no longer called. */
  readonly person: string
  readonly label: string
  readonly state: DeliveryState
  readonly attempts: number
  readonly atMs: number
  readonly nextAtMs: number
  readonly doneAtMs: number | null
  readonly error: string | null
}

export interface DeskParts {
  readonly room: Pick<Room, 'alarms' | 'acknowledge' | 'snapshot'>
  readonly store: Pick<Store, 'keepDelivery' | 'deliveries' | 'settled'>
  readonly clock: () => number
  readonly newId: () => string
  readonly health: ChannelHealth
  readonly channels: ReadonlyMap<string, Channel>
  readonly usable: () => ReadonlySet<ChannelKind>
  readonly settings: () => NotifySettings
  readonly update: (change: (now: NotifySettings) => NotifySettings) => Promise<void>
  readonly baseUrl: () => string | null
  readonly linkKey: Buffer
}

/** How far back a link finds what became of an alarm that is over, in alarms. */
const PAST_LOOKED_AT = 500

/** What the web offers of calling people. */
export class Desk {
  readonly #parts: DeskParts
  constructor(parts: DeskParts) {
    this.#parts = parts
  }

  settings(): ShownSettings {
    const { settings, baseUrl, channels, usable, health } = this.#parts
    const { people, email, webhook, ...rest } = settings()
    const working = usable()
    return {
      ...rest,
      linkBase: baseUrl(),
      people: people.map(person => ({
        ...person,
        addresses: person.addresses.map(({ remindedSinceMs: _, ...each }) => ({
          ...each,
          address: each.kind === 'push' ? null : each.address,
        })),
      })),
      email: email === null ? null : withoutPassword(email),
      webhook: { hasSecret: webhook.secret !== null },
      channels: [...channels.values()].map(({ kind }) => ({
        kind,
        usable: working.has(kind),
        failing: health.failing.has(kind),
      })),
    }
  }

  /** @throws RoomError of kind `invalid` that names the field. */
  async change(sent: NewSettings): Promise<ShownSettings> {
    const { update, newId, clock } = this.#parts
    await update(now => checkSettings(sent, now, newId, clock()))
    return this.settings()
  }

  /** Adds an address for somebody, as when a browser was allowed to notify; one that is there already is changed. */
  async addAddress(personId: string, address: Omit<Address, 'id'>): Promise<Address> {
    const { update, newId, clock } = this.#parts
    let added: Address = { ...address, id: newId(), remindedSinceMs: clock() }
    await update(now => {
      if (!now.people.some(({ id }) => id === personId)) {
        const rule = `nobody who is called has the id ${personId}`
        throw new RoomError(RoomErrorKind.notFound, `Cannot add an address: ${rule}`)
      }
      return withAddresses(now, personId, addresses => {
        const known = addresses.find(each => each.kind === address.kind && each.address === address.address)
        if (known === undefined && addresses.length >= ADDRESSES_LIMIT) {
          const rule = `a person has at most ${ADDRESSES_LIMIT}`
          throw new RoomError(RoomErrorKind.conflict, `Cannot add an address: ${rule}`)
        }
        if (known?.reminders === true) added = sameReminders(added, known)
        added = { ...added, id: known?.id ?? added.id }
        return [...addresses.filter(each => each !== known), added]
      })
    })
    return added
  }

  async dropAddress(personId: string, addressId: string): Promise<void> {
    await this.#parts.update(now =>
      withAddresses(now, personId, addresses => addresses.filter(({ id }) => id !== addressId)),
    )
  }

  /** Sends a test at once, and says in words what came of it. */
  async test(personId: string, addressId: string): Promise<{ arrived: boolean; words: string }> {
    const { settings, channels, clock, newId, health, store, baseUrl } = this.#parts
    const person = settings().people.find(({ id }) => id === personId)
    const address = person?.addresses.find(({ id }) => id === addressId)
    const channel = address && channels.get(address.kind)
    if (person === undefined || address === undefined || channel === undefined)
      throw new RoomError(
        RoomErrorKind.notFound,
        'Cannot send a test: nobody who is called has this address; save it first',
      )
    const nowMs = clock()
    const message: Message = {
      id: `test-${newId()}`,
      about: MessageAbout.test,
      occasion: Occasion.test,
      alarmId: null,
      ...testWords(person.name),
      priority: Priority.low,
      acknowledgeUrl: null,
      openUrl: baseUrl(),
      sentAtMs: nowMs,
    }
    const outcome = await attempt(
      signal => channel.send(message, address.address, signal),
      new AbortController().signal,
    )
    const error = outcome.kind === 'failed' ? outcome.error : null
    if (error === null) health.delivered(addressId, address.kind)
    else health.failed(addressId, address.kind, error, clock())
    await store.keepDelivery(
      toRow({
        ...newDelivery(message, { personId, addressId, kind: address.kind }),
        state: error === null ? 'delivered' : 'failed',
        attempts: 1,
        doneAtMs: clock(),
        error: error?.message ?? null,
      }),
    )
    return { arrived: error === null, words: error?.message ?? TAKEN[address.kind] }
  }

  async recent(limit: number): Promise<ShownDelivery[]> {
    const { store, settings } = this.#parts
    // What was decided in this turn is on its way to the store.
    await store.settled()
    const people = new Map(settings().people.map(person => [person.id, person]))
    return (await store.deliveries(limit)).map(row => {
      const { message, personId, addressId, ...rest } = fromRow(row)
      const { id, about, occasion, title, priority, alarmId, sentAtMs } = message
      const person = people.get(personId)
      const label = person?.addresses.find(each => each.id === addressId)?.label ?? ''
      return {
        ...rest,
        id,
        about,
        occasion,
        title,
        priority,
        alarmId,
        atMs: sentAtMs,
        person: person?.name ?? '',
        label,
      }
    })
  }

  /** What a link opens; `null` for a link that we did not make, or that is no longer valid. */
  async openLink(token: string) {
    const grant = readToken(this.#parts.linkKey, token, this.#parts.clock())
    if (grant === null) return null
    const alarm = await this.#alarm(grant.alarmId)
    const vessel = this.#parts.room.snapshot().vessels.find(({ row }) => row.id === alarm?.vesselId)
    return { alarm, where: vessel?.row.name ?? null, person: this.#nameOf(grant.personId) }
  }

  /** Acknowledges in the name of the person that the link was sent to. */
  async answerLink(token: string): Promise<boolean> {
    const grant = readToken(this.#parts.linkKey, token, this.#parts.clock())
    if (grant === null) return false
    try {
      await this.#parts.room.acknowledge(grant.alarmId, this.#nameOf(grant.personId))
    } catch (error) {
      // It is over, or was answered by somebody else: the page says so.
      if (!(error instanceof RoomError)) throw error
    }
    return true
  }

  /** As it stands, or as it ended. */
  async #alarm(alarmId: string): Promise<Alarm | null> {
    const { room } = this.#parts
    const standing = await room.alarms({ standing: true, limit: 10_000 })
    const found = standing.find(({ id }) => id === alarmId)
    if (found) return found
    const past = await room.alarms({ standing: false, limit: PAST_LOOKED_AT })
    return past.find(({ id }) => id === alarmId) ?? null
  }

  #nameOf(personId: string): string {
    return this.#parts.settings().people.find(({ id }) => id === personId)?.name ?? 'somebody who was called'
  }
}

const TAKEN: Readonly<Record<ChannelKind, string>> = {
  email: 'The mail server took the message. Look whether it arrives, also among the unwanted mail.',
  webhook: 'The receiver took the message.',
  push: 'The push service took the message. It should show on the device now.',
}

/** It is reminded since when it was. */
function sameReminders({ remindedSinceMs: _, ...address }: Address, known: Address): Address {
  return known.remindedSinceMs === undefined
    ? address
    : { ...address, remindedSinceMs: known.remindedSinceMs }
}

function withoutPassword({ password, ...rest }: SmtpSettings) {
  return { ...rest, hasPassword: password !== null }
}

function withAddresses(
  settings: NotifySettings,
  personId: string,
  change: (addresses: readonly Address[]) => readonly Address[],
): NotifySettings {
  const people = settings.people.map(person =>
    person.id === personId ? { ...person, addresses: change(person.addresses) } : person,
  )
  return { ...settings, people }
}
