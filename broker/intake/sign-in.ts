import type { AedesOptions, AuthenticateError, Client } from 'aedes'
import { isDeviceName, TopicKind, topicOf } from '../../firmware-protocol/topics.ts'
import { Gate, GateFullError } from './gate.ts'
import type { IntakeLogger } from './logger.ts'
import type { DeviceRegistry } from './outlet.ts'
import { bridgeMayPublish, ownIdentifier, rightsOf } from './rights.ts'
import type { BridgeRights, Rights } from './rights.ts'
import { Refusal } from './stats.ts'
import type { Counts } from './stats.ts'

/** CONNACK return codes, MQTT 3.1.1 table 3.1. */
const Connack = { identifierRejected: 2, unavailable: 3, badCredentials: 4, notAuthorized: 5 } as const
type Connack = (typeof Connack)[keyof typeof Connack]

/** The longest client identifier that is taken, characters. */
export const MAX_IDENTIFIER = 128
/** Password checks that run side by side; two leave room for everything else on a small machine. */
const CHECKS_SIDE_BY_SIDE = 2
/** So many bridges' rights are remembered by name. */
const MOST_BRIDGES = 200

interface Verdict {
  readonly refusal: Refusal
  readonly code: Connack
  readonly text: string
}

export interface SignIn {
  readonly preConnect: NonNullable<AedesOptions['preConnect']>
  readonly authenticate: NonNullable<AedesOptions['authenticate']>
  /** What a client may touch; `undefined` before it has signed in. */
  readonly rightsOf: (client: Client) => Rights | undefined
  /** The same of a bridge. */
  readonly bridgeOf: (client: Client) => BridgeRights | undefined
  /** What the bridge of this name was allowed when it signed in last. */
  readonly bridgeNamed: (name: string) => BridgeRights | undefined
}

export function createSignIn(parts: {
  verify: DeviceRegistry['verify']
  bridge?: DeviceRegistry['bridge']
  counts: Counts
  logger: IntakeLogger
  mayWait: number
}): SignIn {
  const { verify, counts, logger } = parts
  const gate = new Gate(CHECKS_SIDE_BY_SIDE, parts.mayWait)
  const verdicts = new WeakMap<Client, Verdict>()
  const signedIn = new WeakMap<Client, Rights>()
  const bridges = new WeakMap<Client, BridgeRights>()
  // By name too; there are few, and a name stays few.
  const named = new Map<string, BridgeRights>()
  const wills = new WeakMap<Client, string>()

  /** Names of devices and of bridges are never the same. */
  async function whoIs(name: string, password: string): Promise<Rights | BridgeRights | undefined> {
    if (await verify(name, password)) return rightsOf(name)
    const filters = await parts.bridge?.(name, password)
    return filters && { bridge: name, filters }
  }

  return {
    rightsOf: client => signedIn.get(client),
    bridgeOf: client => bridges.get(client),
    bridgeNamed: name => named.get(name),

    // Without a CONNACK nobody with a soldering iron learns what is wrong, so the verdict waits for `authenticate`.
    preConnect(client, packet, callback) {
      const { username, password, clientId, clean, will } = packet
      const verdict = ((): Verdict | null => {
        if (clientId === '' && clean === false) {
          // MQTT 3.1.1 clause 3.1.3-8.
          return refuse(
            Refusal.identifier,
            Connack.identifierRejected,
            'an empty client identifier needs a clean session',
          )
        }
        if (clientId.length > MAX_IDENTIFIER)
          return refuse(
            Refusal.identifier,
            Connack.identifierRejected,
            `a client identifier has ${MAX_IDENTIFIER} characters at most`,
          )
        if (username === undefined || password === undefined)
          return refuse(Refusal.credentials, Connack.notAuthorized, 'user name and password are needed')
        if (!isDeviceName(username))
          return refuse(
            Refusal.credentials,
            Connack.badCredentials,
            "the user name must be the device's name",
          )
        return null
      })()
      if (will) wills.set(client, will.topic)
      if (verdict) verdicts.set(client, verdict)
      else if (clientId !== '') packet.clientId = ownIdentifier(username!, clientId)
      callback(null, true)
    },

    authenticate(client, username, password, done) {
      const deny = ({ refusal, code, text }: Verdict) => {
        counts.refused[refusal]++
        logger.warn({ device: username, refusal, from: addressOf(client) }, `connection refused: ${text}`)
        done(connackError(code, text), false)
      }
      const verdict = verdicts.get(client)
      if (verdict || username === undefined || password === undefined) {
        return deny(verdict ?? refuse(Refusal.credentials, Connack.notAuthorized, 'no credentials'))
      }
      gate
        // One that has gone meanwhile is not worth the work.
        .run(async () => (client.closed ? undefined : whoIs(username, password.toString('utf8'))))
        .then(
          who => {
            if (!who)
              return deny(
                refuse(
                  Refusal.credentials,
                  Connack.badCredentials,
                  'the device is not known, or its password is wrong',
                ),
              )
            const will = wills.get(client)
            if ('bridge' in who) {
              if (will !== undefined && !bridgeMayPublish(who, will))
                return deny(refuse(Refusal.will, Connack.notAuthorized, `a last will may not go to ${will}`))
              bridges.set(client, who)
              if (!named.has(username) && named.size >= MOST_BRIDGES) named.delete(named.keys().next().value!)
              named.set(username, who)
            } else {
              const state = topicOf(username, TopicKind.state)
              if (will !== undefined && will !== state)
                return deny(refuse(Refusal.will, Connack.notAuthorized, `a last will goes to ${state}`))
              signedIn.set(client, who)
            }
            done(null, true)
          },
          (error: unknown) => {
            if (error instanceof GateFullError)
              return deny(
                refuse(Refusal.busy, Connack.unavailable, 'too many devices sign in at this moment'),
              )
            logger.error({ error, device: username }, 'credentials could not be checked')
            deny(refuse(Refusal.busy, Connack.unavailable, 'credentials could not be checked'))
          },
        )
        .catch((error: unknown) => logger.error({ error }, 'sign-in failed'))
    },
  }
}

function refuse(refusal: Refusal, code: Connack, text: string): Verdict {
  return { refusal, code, text }
}

function connackError(code: Connack, text: string): AuthenticateError {
  return Object.assign(new Error(text), { returnCode: code })
}

function addressOf(client: Client): string | undefined {
  return 'remoteAddress' in client.conn ? client.conn.remoteAddress : undefined
}
