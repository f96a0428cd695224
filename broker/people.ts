import {
  hashPassword,
  hashSecret,
  newSecret as randomSecret,
  passwordMatches,
  type NewSecret,
} from './secrets.ts'
import { checkPassword } from './password.ts'
import { isRole, SignInRole } from './roles.ts'
import type { Store } from './store/contract.ts'

/**
 * Who may sign in besides the owner, whose password is the room's (`password.ts`). Records of the store, a person each; with
 * hashes only. A person is let in by a link that is good once and for three days, and may then choose a password.
 */
export interface Person {
  readonly id: string
  readonly name: string
  readonly role: SignInRole
  readonly createdAtMs: number
  readonly hasPassword: boolean
  /** Until when a link that nobody has used yet is good; `null` without one. */
  readonly linkUntilMs: number | null
  /** Sessions that were opened before this moment are over. */
  readonly sessionsSinceMs: number
}

/** What cannot be done about people; the words say why. */
export class PeopleError extends Error {
  override readonly name = 'PeopleError'
  readonly kind: 'invalid' | 'not-found' | 'conflict'
  readonly field: string | null
  constructor(kind: PeopleError['kind'], message: string, field: string | null = null) {
    super(message)
    this.kind = kind
    this.field = field
  }
}

export const LINK_DAYS = 3
const LINK_MS = LINK_DAYS * 86_400_000
/** People that may be let in: a fish room has a few. */
export const MOST_PEOPLE = 50
export const NAME_MAX_LENGTH = 60

const KIND = 'sign-in'
type PeopleStore = Pick<Store, 'keepRecord' | 'records' | 'dropRecord'>

interface Kept {
  readonly name: string
  readonly role: SignInRole
  readonly sinceMs: number
  readonly passwordHash?: string
  readonly link?: { readonly hash: string; readonly untilMs: number }
}
interface Found {
  readonly id: string
  readonly createdAtMs: number
  readonly kept: Kept
}

/** The link's secret; only its hash is kept. */
export interface NewLink {
  readonly person: Person
  readonly secret: string
  readonly untilMs: number
}

/** Lets somebody in, by a link. @throws PeopleError for a name that is taken or cannot be one. */
export async function addPerson(
  store: PeopleStore,
  wanted: { readonly name: string; readonly role: SignInRole },
  nowMs: number,
  newSecret: NewSecret = randomSecret,
): Promise<NewLink> {
  const name = checkedName(wanted.name)
  if (wanted.role === SignInRole.owner)
    throw new PeopleError(
      'invalid',
      'Cannot let somebody in as owner: whoever knows the password is the owner',
      'role',
    )
  const all = await read(store)
  if (all.some(({ kept }) => sameName(kept.name, name)))
    throw new PeopleError('conflict', `Cannot let somebody in: there is a ${name} already`, 'name')
  if (all.length >= MOST_PEOPLE)
    throw new PeopleError(
      'conflict',
      `Cannot let somebody in: ${MOST_PEOPLE} people are as many as there can be`,
    )
  const found = {
    id: newSecret().slice(0, 16),
    createdAtMs: nowMs,
    kept: { name, role: wanted.role, sinceMs: nowMs },
  }
  return giveLink(store, found, nowMs, newSecret)
}

/** A new link in place of the one before, for whoever lost theirs, their phone or their password. */
export async function newLink(
  store: PeopleStore,
  id: string,
  nowMs: number,
  newSecret: NewSecret = randomSecret,
): Promise<NewLink> {
  return giveLink(store, await byId(store, id), nowMs, newSecret)
}

/** The person whose link this is: it is used up. Sessions from before end; a password takes the place of the one before. */
export async function useLink(
  store: PeopleStore,
  secret: string,
  password: string | null,
  nowMs: number,
): Promise<Person | null> {
  const hash = hashSecret(secret)
  const found = (await read(store)).find(({ kept }) => kept.link?.hash === hash && kept.link.untilMs > nowMs)
  if (found === undefined) return null
  if (password !== null) checkPassword(password)
  const { name, role, passwordHash } = found.kept
  const chosen = password === null ? passwordHash : await hashPassword(password)
  const kept = { name, role, sinceMs: nowMs, ...(chosen === undefined ? {} : { passwordHash: chosen }) }
  return keep(store, { ...found, kept }, nowMs)
}

export async function changeRole(
  store: PeopleStore,
  id: string,
  role: SignInRole,
  nowMs: number,
): Promise<Person> {
  if (role === SignInRole.owner)
    throw new PeopleError(
      'invalid',
      'Cannot make somebody owner: whoever knows the password is the owner',
      'role',
    )
  const found = await byId(store, id)
  return keep(store, { ...found, kept: { ...found.kept, role } }, nowMs)
}

/** Their sessions end with them. */
export async function removePerson(store: PeopleStore, id: string): Promise<Person> {
  const found = await byId(store, id)
  await store.dropRecord({ kind: KIND, id })
  return shown(found)
}

export async function people(store: PeopleStore): Promise<Person[]> {
  return (await read(store)).map(shown)
}

/** Whose name and password these are. Takes as long for a name that nobody has as for a wrong password. */
export async function personByPassword(
  store: PeopleStore,
  name: string,
  password: string,
): Promise<Person | null> {
  const found = (await read(store)).find(({ kept }) => sameName(kept.name, name.trim()))
  const hash = found?.kept.passwordHash
  const right = await passwordMatches(password, hash ?? (await DECOY))
  return right && found !== undefined && hash !== undefined ? shown(found) : null
}

/** What nobody's password is: of the same cost. */
const DECOY = hashPassword(randomSecret())

/** Names are compared without regard to case and to how their letters were composed. */
const sameName = (a: string, b: string): boolean => plain(a) === plain(b)
const plain = (name: string): string => name.normalize('NFC').toLowerCase()

function checkedName(text: string): string {
  const name = text.normalize('NFC').trim()
  // No control or format characters: a name is shown in logs, messages and on screens.
  if (name.length > 0 && name.length <= NAME_MAX_LENGTH && !/[\p{C}\p{Zl}\p{Zp}]/u.test(name)) return name
  throw new PeopleError(
    'invalid',
    `Cannot name a person: a name has 1 to ${NAME_MAX_LENGTH} characters on one line`,
    'name',
  )
}

async function giveLink(
  store: PeopleStore,
  found: Found,
  nowMs: number,
  newSecret: NewSecret,
): Promise<NewLink> {
  const secret = newSecret()
  const untilMs = nowMs + LINK_MS
  const kept = { ...found.kept, link: { hash: hashSecret(secret), untilMs } }
  return { person: await keep(store, { ...found, kept }, nowMs), secret, untilMs }
}

async function keep(store: PeopleStore, found: Found, nowMs: number): Promise<Person> {
  const { id, createdAtMs, kept } = found
  await store.keepRecord({
    kind: KIND,
    id,
    createdAtMs,
    changedAtMs: nowMs,
    endedAtMs: null,
    json: JSON.stringify(kept),
  })
  return shown(found)
}

async function byId(store: PeopleStore, id: string): Promise<Found> {
  const found = (await read(store)).find(each => each.id === id)
  if (found) return found
  throw new PeopleError('not-found', 'Cannot find person: nobody who may sign in has this id')
}

async function read(store: PeopleStore): Promise<Found[]> {
  const rows = await store.records(KIND)
  return rows.flatMap(({ id, createdAtMs, json }) => {
    const kept = JSON.parse(json) as Kept
    // A role that this version does not know is nobody's: whoever has it is not let in.
    return isRole(kept.role) ? [{ id, createdAtMs, kept }] : []
  })
}

const shown = ({ id, createdAtMs, kept }: Found): Person => ({
  id,
  name: kept.name,
  role: kept.role,
  createdAtMs,
  hasPassword: kept.passwordHash !== undefined,
  linkUntilMs: kept.link?.untilMs ?? null,
  sessionsSinceMs: kept.sinceMs,
})
