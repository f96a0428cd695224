import { hashPassword, passwordMatches } from './secrets.ts'
import type { Store } from './store/contract.ts'

/** The room's one password: who knows it may sign in. Kept as a document of the store, hashed. */
const DOCUMENT = 'password'
export const PASSWORD_MIN_LENGTH = 10
/** Longer ones are refused, so that nobody can make the hash chew on megabytes. */
export const PASSWORD_MAX_LENGTH = 256

type PasswordStore = Pick<Store, 'document' | 'keepDocument'>

interface PasswordDocument {
  readonly hash: string
  /** Sessions opened before this moment are over. */
  readonly setAtMs: number
}

/** @throws RangeError when the password is shorter than {@link PASSWORD_MIN_LENGTH} or too long. */
export function checkPassword(password: string): void {
  const length = [...password].length
  if (length < PASSWORD_MIN_LENGTH || length > PASSWORD_MAX_LENGTH) {
    throw new RangeError(
      `Cannot set password: it must have ${PASSWORD_MIN_LENGTH} to ${PASSWORD_MAX_LENGTH} characters, got ${length}`,
    )
  }
}

/** Sets the owner's password. @throws RangeError as {@link checkPassword} does. */
export async function setPassword(store: PasswordStore, password: string, nowMs: number): Promise<void> {
  checkPassword(password)
  const document: PasswordDocument = { hash: await hashPassword(password), setAtMs: nowMs }
  await store.keepDocument(DOCUMENT, JSON.stringify(document))
}

/** When the password was last set, Unix ms; `null` when there is none yet. */
export async function passwordSetAt(store: PasswordStore): Promise<number | null> {
  return (await read(store))?.setAtMs ?? null
}

/** Whether this is the password. False when none is set. */
export async function isPassword(store: PasswordStore, password: string): Promise<boolean> {
  const document = await read(store)
  return document !== null && passwordMatches(password, document.hash)
}

async function read(store: PasswordStore): Promise<PasswordDocument | null> {
  const json = await store.document(DOCUMENT)
  if (json === undefined) return null
  const value: unknown = JSON.parse(json)
  const known = typeof value === 'object' && value !== null && 'hash' in value && 'setAtMs' in value
  if (!known || typeof value.hash !== 'string' || typeof value.setAtMs !== 'number') {
    throw new Error(
      'Cannot read password: the stored document is damaged; run "brinewatch password set" again',
    )
  }
  return { hash: value.hash, setAtMs: value.setAtMs }
}
