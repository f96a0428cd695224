import { parse } from 'hono/utils/cookie'
import type { Clock } from '../clock.ts'
import { passwordSetAt } from '../password.ts'
import { hashSecret, secretMatches, type NewSecret } from '../secrets.ts'
import type { Store } from '../store/contract.ts'
import type { Identity } from './context.ts'

export const SESSION_COOKIE = 'brinewatch_session'
export const SESSION_DAYS = 30
const SESSION_MS = SESSION_DAYS * 86_400_000

/** A secret is 43 characters; what is much longer is not looked at. */
const SECRET_MAX_LENGTH = 200

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
  /** Opens a session; resolves to its secret, for the cookie. Only its hash is kept. */
  open(): Promise<string>
  /** Ends the session with this hash. */
  end(session: string): Promise<void>
}

/** Sessions of people and bearer tokens of machines, looked up by the hash of the secret they bring. */
export function createSignIn(store: Store, clock: Clock, newSecret: NewSecret): SignIn {
  async function runs(session: string): Promise<boolean> {
    const row = await store.session(session)
    if (!row || row.expiresAtMs <= clock()) return false
    // A new password ends every session that was opened with the old one.
    const setAtMs = await passwordSetAt(store)
    return setAtMs !== null && row.createdAtMs >= setAtMs
  }

  /** Found by the hash of the secret, so nothing that a guess comes near to shows in the time it takes. */
  async function bySession(secret: string): Promise<Identity | null> {
    const session = hashSecret(secret)
    return (await runs(session)) ? { name: null, session } : null
  }

  async function byToken(secret: string): Promise<Identity | null> {
    const token = (await store.tokens()).find(row => secretMatches(secret, row.hash))
    return token ? { name: token.name, session: null } : null
  }

  return {
    async identify({ cookie, authorization }) {
      const bearer = /^Bearer +(\S+)$/i.exec(authorization ?? '')?.[1]
      if (bearer !== undefined) return bearer.length > SECRET_MAX_LENGTH ? null : byToken(bearer)
      const secret = cookie === undefined ? undefined : parse(cookie, SESSION_COOKIE)[SESSION_COOKIE]
      return secret === undefined || secret.length > SECRET_MAX_LENGTH ? null : bySession(secret)
    },
    async stillGood({ name, session }) {
      if (session !== null) return runs(session)
      return (await store.tokens()).some(token => token.name === name)
    },
    async open() {
      const secret = newSecret()
      const nowMs = clock()
      await store.dropExpiredSessions(nowMs)
      await store.keepSession({
        hash: hashSecret(secret),
        createdAtMs: nowMs,
        expiresAtMs: nowMs + SESSION_MS,
      })
      return secret
    },
    end: session => store.dropSession(session),
  }
}
