import { RoomError, RoomErrorKind } from '../room/contract.ts'
import { ChannelKind } from './contract.ts'
import type { NewSettings } from './desk.ts'
import { isZone } from './hours.ts'
import { wrongWithAddress } from './http-call.ts'
import { ADDRESSES_LIMIT, PEOPLE_LIMIT, type Address, type NotifySettings, type Person } from './people.ts'

/**
 * What was sent, with what it left out taken from before, once it is checked that it can work.
 * @throws RoomError of kind `invalid` that names the field, as in `people.0.addresses.1.address`.
 */
export function checkSettings(
  sent: NewSettings,
  before: NotifySettings,
  newId: () => string,
  nowMs: number,
): NotifySettings {
  if (sent.people.length > PEOPLE_LIMIT) throw wrong('people', `At most ${PEOPLE_LIMIT} people can be called`)
  if (sent.publicUrl !== null && !isWebAddress(sent.publicUrl))
    throw wrong('publicUrl', 'Write the address as on the phone, like http://192.168.1.20:8080')
  const email = sent.email
  return {
    people: distinct(
      sent.people.map((person, at) => checkPerson(person, `people.${at}`, before, newId, nowMs)),
    ),
    tellWhenOver: sent.tellWhenOver,
    publicUrl: sent.publicUrl,
    email: email === null ? null : { ...email, password: kept(email.password, before.email?.password) },
    webhook: { secret: kept(sent.webhook.secret, before.webhook.secret) },
    push: sent.push === undefined ? before.push : { contact: checkContact(sent.push.contact) },
  }
}

function checkPerson(
  person: NewSettings['people'][number],
  field: string,
  before: NotifySettings,
  newId: () => string,
  nowMs: number,
): Person {
  const { hours, addresses } = person
  if (hours !== null && !isZone(hours.zone))
    throw wrong(`${field}.hours.zone`, `There is no time zone ${hours.zone}; write one like Europe/Vienna`)
  if (addresses.length > ADDRESSES_LIMIT)
    throw wrong(`${field}.addresses`, `At most ${ADDRESSES_LIMIT} addresses for each person`)
  const known = before.people.find(({ id }) => id === person.id)
  return {
    ...person,
    id: known?.id ?? newId(),
    addresses: distinct(
      addresses.map((address, at) => checkAddress(address, `${field}.addresses.${at}`, known, newId, nowMs)),
    ),
  }
}

function checkAddress(
  sent: NewSettings['people'][number]['addresses'][number],
  field: string,
  person: Person | undefined,
  newId: () => string,
  nowMs: number,
): Address {
  const known = person?.addresses.find(({ id, kind }) => id === sent.id && kind === sent.kind)
  const address = (sent.address ?? known?.address ?? '').trim()
  const problem = PROBLEM[sent.kind](address)
  if (problem !== null) throw wrong(`${field}.address`, problem)
  const of = { ...sent, id: known?.id ?? newId(), address }
  return known?.reminders === true && known.remindedSinceMs === undefined
    ? of
    : { ...of, remindedSinceMs: known?.reminders === true ? (known.remindedSinceMs ?? nowMs) : nowMs }
}

const PROBLEM: Readonly<Record<ChannelKind, (address: string) => string | null>> = {
  // One address, no list and no display name: what is more than that, the mail server judges.
  [ChannelKind.email]: address =>
    /^[^\s@,;<>"()]+@[^\s@,;<>"()]+$/.test(address)
      ? null
      : 'Write one e-mail address, like name@example.org',
  [ChannelKind.webhook]: wrongWithAddress,
  [ChannelKind.push]: address => (address === '' ? 'Allow notifications on the device itself' : null),
}

/** A push service refuses a contact that is neither (RFC 8292 section 2.1), and with it every call. */
function checkContact(contact: string | null): string | null {
  const text = contact?.trim() ?? ''
  if (text === '') return null
  if (/^[^\s@,;:<>"()]+@[^\s@,;<>"()]+$/.test(text)) return `mailto:${text}`
  if (/^mailto:[^\s@,;:<>"()]+@[^\s@,;<>"()]+$/.test(text)) return text
  if (URL.canParse(text) && new URL(text).protocol === 'https:') return text
  throw wrong('push.contact', 'Write an e-mail address, or one that begins with https://')
}

function isWebAddress(text: string): boolean {
  const url = URL.canParse(text) ? new URL(text) : null
  return url !== null && /^https?:$/.test(url.protocol)
}

/** A secret that was left out stays, unless it was never there. */
function kept(sent: string | null | undefined, before: string | null | undefined): string | null {
  return sent === undefined ? (before ?? null) : sent
}

/** The same one twice would be two under one id. */
function distinct<T extends { readonly id: string }>(all: readonly T[]): T[] {
  const seen = new Set<string>()
  for (const { id } of all) {
    if (seen.has(id)) throw wrong('people', 'The same person or address was sent twice')
    seen.add(id)
  }
  return [...all]
}

function wrong(field: string, message: string): RoomError {
  return new RoomError(RoomErrorKind.invalid, message, field)
}
