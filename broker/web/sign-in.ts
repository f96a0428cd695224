import { parse } from 'hono/utils/cookie'
import type { Clock } from '../clock.ts'
import { passwordSetAt } from '../password.ts'
import { people, type Person } from '../people.ts'
import { SignInRole } from '../roles.ts'
import { hashSecret, secretMatches, type NewSecret } from '../secrets.ts'
import type { SessionRow, Store } from '../store/contract.ts'
import type { Identity } from './context.ts'

export const SESSION_COOKIE = 'brinewatch_session'
export const SESSION_DAYS = 30
const SESSION_MS = SESSION_DAYS * 86_400_000

/** A secret is 43 characters; what is much longer is not looked at. */
const SECRET_MAX_LENGTH = 200
/** What is kept of how a browser calls itself. */
const AGENT_MAX_LENGTH = 200

/** The two headers that can say who is asking. */
export interface Credentials {
  readonly cookie: string | undefined
  readonly authorization: string | undefined
}

export interface SignIn {
  /** Who is asking; `null` for nobody we know. */
  identify(credentials: Credentials): Promise<Identity | null>
  /** Whether somebody identified earlier may still act: the session runs, the token is still there. */
  stillGood(identity: Identity): Promise<boolean>
  /** Opens a session, the owner's for `null`; resolves to its secret, for the cookie. Only its hash is kept. */
  open(person: Person | null, from: { readonly address: string; readonly agent: string }): Promise<string>
  /** Those that run, with whose they are, the newest first. */
  running(): Promise<{ readonly row: SessionRow; readonly person: Person | null }[]>
  /** Ends the session with this hash. */
  end(session: string): Promise<void>
}

/** Sessions of people and bearer tokens of machines, looked up by the hash of the secret they bring. */
export function createSignIn(store: Store, clock: Clock, newSecret: NewSecret): SignIn {
  /** Whose session this is, while it runs: a person, or `null` for the owner. */
  async function holder(row: SessionRow): Promise<{ person: Person | null } | undefined> {
    if (row.expiresAtMs <= clock()) return undefined
    // A new password of the owner's ends every session that was opened before.
    const setAtMs = await passwordSetAt(store)
    if (setAtMs === null || row.createdAtMs < setAtMs) return undefined
    if (row.person === null) return { person: null }
    const person = (await people(store)).find(({ id }) => id === row.person)
    return person && row.createdAtMs >= person.sessionsSinceMs ? { person } : undefined
  }

  async function find(session: string): Promise<Identity | null> {
    const row = await store.session(session)
    const held = row && (await holder(row))
    if (!held) return null
    // Looked up each time, so a role that was changed holds at once.
    return { name: held.person?.name ?? null, session, role: held.person?.role ?? SignInRole.owner }
  }

  /** Found by the hash of the secret, so nothing that a guess comes near to shows in the time it takes. */
  async function bySession(secret: string): Promise<Identity | null> {
    return find(hashSecret(secret))
  }

  async function byToken(secret: string): Promise<Identity | null> {
    const token = (await store.tokens()).find(row => secretMatches(secret, row.hash))
    return token ? { name: token.name, session: null, role: token.role } : null
  }

  return {
    async identify({ cookie, authorization }) {
      const bearer = /^Bearer +(\S+)$/i.exec(authorization ?? '')?.[1]
      if (bearer !== undefined) return bearer.length > SECRET_MAX_LENGTH ? null : byToken(bearer)
      const secret = cookie === undefined ? undefined : parse(cookie, SESSION_COOKIE)[SESSION_COOKIE]
      return secret === undefined || secret.length > SECRET_MAX_LENGTH ? null : bySession(secret)
    },
    async stillGood({ name, session }) {
      if (session !== null) return (await find(session)) !== null
      return (await store.tokens()).some(token => token.name === name)
    },
    async running() {
      const rows = await store.sessions()
      const held = await Promise.all(rows.map(async row => ({ row, held: await holder(row) })))
      return held.flatMap(({ row, held: of }) => (of ? [{ row, person: of.person }] : []))
    },
    async open(person, { address, agent }) {
      const secret = newSecret()
      const nowMs = clock()
      await store.dropExpiredSessions(nowMs)
      await store.keepSession({
        hash: hashSecret(secret),
        createdAtMs: nowMs,
        expiresAtMs: nowMs + SESSION_MS,
        person: person?.id ?? null,
        address,
        agent: agent.slice(0, AGENT_MAX_LENGTH),
      })
      return secret
    },
    end: session => store.dropSession(session),
  }
}
