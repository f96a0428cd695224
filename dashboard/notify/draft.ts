import type { ChangeNotify, NotifySettings } from '../../broker/web/api/notify.ts'

export type Person = NotifySettings['people'][number]
export type Address = Person['addresses'][number]
export type NewPerson = ChangeNotify['people'][number]
export type NewAddress = NewPerson['addresses'][number]

/** What was read, as it is sent back: secrets and push subscriptions are left out, and so stay as they are. */
export function asSent(settings: NotifySettings): ChangeNotify {
  const { people, tellWhenOver, publicUrl, email } = settings
  return {
    people: people.map(personAsSent),
    tellWhenOver,
    publicUrl,
    email: email === null ? null : mailAsSent(email),
    webhook: {},
  }
}

function mailAsSent({ hasPassword: _, ...mail }: NonNullable<NotifySettings['email']>) {
  return mail
}

export function personAsSent({ addresses, ...person }: Person): NewPerson {
  return { ...person, addresses: addresses.map(addressAsSent) }
}

export function addressAsSent({ address, ...rest }: Address): NewAddress {
  return address === null ? rest : { ...rest, address }
}

/** With somebody changed, or added at the end when they are new; and where they stand, for the words beside fields. */
export function withPerson(settings: NotifySettings, person: NewPerson): { sent: ChangeNotify; at: number } {
  const sent = asSent(settings)
  const at = placeOf(settings, person.id)
  const people = [...sent.people]
  people[at] = person
  return { sent: { ...sent, people }, at }
}

export function withoutPerson(settings: NotifySettings, id: string): ChangeNotify {
  const sent = asSent(settings)
  return { ...sent, people: sent.people.filter(person => person.id !== id) }
}

/** Which place somebody has in what is sent: somebody new comes last. */
export function placeOf(settings: NotifySettings, id: string | undefined): number {
  const found = settings.people.findIndex(person => person.id === id)
  return found < 0 ? settings.people.length : found
}

/** Under which name what was typed of somebody and not saved is kept: `null` is somebody new. */
export const personDraft = (id: string | null): string => `person.${id ?? 'new'}`

/**
 * What the broker says of the fields of what was sent, `people.2.addresses.0.label`, by the names that they have in the form of that
 * one person: those do not change when somebody else is added, or an address is taken out. `keys`: of the form's addresses, in order.
 */
export function inForm(
  fields: ReadonlyMap<string, string>,
  at: number,
  keys: readonly number[],
): ReadonlyMap<string, string> {
  return new Map(
    [...fields].map(([name, words]) => {
      const own = name.startsWith(`people.${at}.`) ? name.slice(`people.${at}.`.length) : name
      const within = /^addresses\.(\d+)\.(.+)$/.exec(own)
      const key = within === null ? undefined : keys[Number(within[1])]
      return [key === undefined ? own : `addresses.${key}.${within?.[2]}`, words]
    }),
  )
}

/** In the order in which they are called. */
export function inOrder(people: readonly Person[]): Person[] {
  return [...people].sort((a, b) => a.afterMinutes - b.afterMinutes || a.name.localeCompare(b.name))
}
