import type { NotifySettings, OutboxList } from '../../broker/web/api/notify.ts'
import { moment, timeOfDay, type Zone } from './time.ts'

type Person = NotifySettings['people'][number]
type Address = Person['addresses'][number]
type Delivery = OutboxList['deliveries'][number]

export const KIND_WORD: Record<Address['kind'], string> = {
  email: 'E-mail',
  webhook: 'Webhook',
  push: 'Notification',
}

export const FROM_WORD: Record<Address['fromPriority'], string> = {
  low: 'Every alarm',
  high: 'High and critical',
  critical: 'Critical only',
}

/** When somebody is called: "At once, 07:00 to 22:00, critical at any hour." */
export function whenCalled(
  { afterMinutes, hours, criticalAnyHour }: Person,
  clock: Pick<Zone, 'locale'>,
): string {
  const turn = afterMinutes === 0 ? 'At once' : `When nobody has answered for ${afterMinutes} min`
  if (hours === null) return `${turn}, at any hour.`
  const span =
    hours.from === hours.to
      ? 'at any hour'
      : `${timeOfDay(hours.from, clock)} to ${timeOfDay(hours.to, clock)} (${hours.zone})`
  return `${turn}, ${span}${criticalAnyHour ? ', critical at any hour' : ''}.`
}

/** What is missing before anybody is called; empty when somebody is. */
export function whatIsMissing({ people, channels }: NotifySettings): string {
  if (people.length === 0) return 'Nobody is called: alarms are only shown and sounded on open screens.'
  const usable = new Set(channels.filter(each => each.usable).map(({ kind }) => kind))
  const reached = people.filter(({ addresses }) => addresses.some(({ kind }) => usable.has(kind)))
  if (reached.length > 0) return ''
  return hasMail(people) && !usable.has('email')
    ? 'Nobody can be reached: e-mail needs a mail server, below.'
    : 'Nobody can be reached: nobody has an address.'
}

const hasMail = (people: readonly Person[]): boolean =>
  people.some(({ addresses }) => addresses.some(({ kind }) => kind === 'email'))

/** That addresses for e-mail reach nobody though others do; empty where they do, or there are none. */
export const mailMissing = (settings: NotifySettings): string =>
  hasMail(settings.people) && mailHint(settings) !== undefined
    ? 'E-mail does not go out: no mail server is set up, below.'
    : ''

/** To be read beside an address while it is typed; `undefined` when e-mail goes out. */
export const mailHint = ({ channels }: NotifySettings): string | undefined =>
  channels.some(({ kind, usable }) => kind === 'email' && usable)
    ? undefined
    : 'E-mail does not go out yet: no mail server is set up. Enter one below, under “How messages leave”.'

/** What the room says of it while a batch is on its way; empty when somebody is called. */
export function uncalledText(settings: NotifySettings): string {
  const missing = whatIsMissing(settings)
  if (missing === '') return ''
  return settings.people.length === 0
    ? 'Nobody is called at night: alarms only show and sound on open screens.'
    : `${missing.replace(/, below\.$/, '.')} Alarms only show and sound on open screens.`
}

/** Whether an address opens on the machine of the service alone. */
export const isOwnMachine = (address: string): boolean =>
  /^(127\.|localhost$|\[::1\]$)/.test(new URL(address).hostname)

/** Where links in messages lead, and what that is worth. */
export function whereLinksLead(linkBase: string | null): string {
  if (linkBase === null) return 'Messages have no links.'
  return isOwnMachine(linkBase)
    ? `Links begin with ${linkBase}, and open on this machine only: start brinewatch with --lan, or write an address that phones reach.`
    : `Links begin with ${linkBase}.`
}

const STATE_WORD: Record<Delivery['state'], string> = {
  waiting: 'Not through yet',
  delivered: 'Delivered',
  failed: 'Failed',
  dropped: 'Dropped',
  withdrawn: 'Not needed any more',
}

/** What became of a message, in one line. */
export function becameOf(delivery: Delivery, nowMs: number, zone: Zone): string {
  const { state, attempts, error, nextAt } = delivery
  const tries = attempts > 1 ? `, ${attempts} tries` : ''
  const next =
    state === 'waiting' && nextAt !== null && attempts > 0
      ? ` Next try ${moment(Math.max(Date.parse(nextAt), nowMs), nowMs, zone)}.`
      : ''
  return `${STATE_WORD[state]}${tries}${error === null ? '.' : `: ${error}.`}${next}`
}

/** To whom and by what: "The keeper, E-mail (mail at home)". */
export function toWhom({ person, kind, label }: Delivery): string {
  const way = KIND_WORD[kind as Address['kind']] ?? kind
  return `${person === '' ? 'Somebody who is no longer called' : person}, ${way}${label === '' ? '' : ` (${label})`}`
}
