import { createHash } from 'node:crypto'

/** What a browser hands over when a person lets a page call: where to send, and the keys to encrypt for it (RFC 8291). */
export interface PushSubscription {
  readonly endpoint: string
  /** Unix ms after which the browser's push service takes nothing more; `null` when it does not say. */
  readonly expiresAtMs: number | null
  readonly keys: {
    /** The browser's public key: an uncompressed P-256 point, base64url. */
    readonly p256dh: string
    /** Sixteen bytes that only the browser and we know, base64url. */
    readonly auth: string
  }
}

/** No push service that answers has an address longer than this. */
const MAX_ENDPOINT = 1024
const POINT_BYTES = 65
const UNCOMPRESSED = 4
const AUTH_BYTES = 16

export interface PushRules {
  /** Whether plain HTTP to this machine is taken for a push service: for a service of one's own behind a proxy, and for tests. */
  readonly plainLoopback?: boolean
}

/**
 * What is wrong with a subscription, in one sentence; `null` when nothing is. Whoever may add a phone may make us send to its
 * address, so only HTTPS addresses by name are taken: none of the house's own machines answers there by accident.
 */
export function wrongWith(
  subscription: PushSubscription,
  { plainLoopback = false }: PushRules = {},
): string | null {
  const { endpoint, keys } = subscription
  if (endpoint.length > MAX_ENDPOINT || !URL.canParse(endpoint))
    return 'its endpoint must be the address that the browser gave'
  const url = new URL(endpoint)
  const ours = plainLoopback && url.protocol === 'http:' && LOOPBACK.has(url.hostname)
  if (!ours && (url.protocol !== 'https:' || isBareAddress(url.hostname)))
    return "its endpoint must be an HTTPS address with a name, as the browser's push service has one"
  if (url.username !== '' || url.password !== '') return 'its endpoint must not hold a password'
  const point = bytesOf(keys.p256dh)
  if (point?.length !== POINT_BYTES || point[0] !== UNCOMPRESSED)
    return 'its key p256dh must be an uncompressed P-256 point in base64url'
  if (bytesOf(keys.auth)?.length !== AUTH_BYTES) return 'its key auth must be 16 bytes in base64url'
  return null
}

const LOOPBACK: ReadonlySet<string> = new Set(['127.0.0.1', 'localhost', '[::1]'])

/** An address in figures, or a name that only this machine or this network knows. */
function isBareAddress(host: string): boolean {
  return (
    host.startsWith('[') || /^[\d.]+$/.test(host) || !host.includes('.') || /\.(local|localhost)$/.test(host)
  )
}

function bytesOf(text: string): Buffer | null {
  return /^[A-Za-z0-9_-]{1,200}={0,2}$/.test(text) ? Buffer.from(text, 'base64url') : null
}

/** Names a subscription without giving its address away; a browser works out the same from its own. */
export function phoneId(endpoint: string): string {
  return createHash('sha256').update(endpoint).digest('hex').slice(0, 24)
}

/** A subscription as the settings keep it. */
export const writeSubscription = (subscription: PushSubscription): string => JSON.stringify(subscription)

/** `null` for a text that is none, or whose fields are wrong. */
export function readSubscription(text: string, rules: PushRules = {}): PushSubscription | null {
  let value: unknown
  try {
    value = JSON.parse(text)
  } catch {
    return null
  }
  const { endpoint, expiresAtMs = null, keys } = (value ?? {}) as Partial<PushSubscription>
  if (typeof endpoint !== 'string' || (expiresAtMs !== null && typeof expiresAtMs !== 'number')) return null
  if (typeof keys?.p256dh !== 'string' || typeof keys.auth !== 'string') return null
  const subscription = { endpoint, expiresAtMs, keys: { p256dh: keys.p256dh, auth: keys.auth } }
  return wrongWith(subscription, rules) === null ? subscription : null
}
