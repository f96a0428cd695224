import { createHash } from 'node:crypto'
import webPush from 'web-push'
import type { Clock } from '../clock.ts'
import { ChannelKind, DeliveryError, FailureKind, type Channel, type Message } from './contract.ts'
import { keptForS, pushPayload, urgencyOf } from './push-payload.ts'
import type { PushKeys } from './push-keys.ts'
import { readSubscription, type PushRules, type PushSubscription } from './push-subscription.ts'

export interface WebPushOptions extends PushRules {
  readonly keys: PushKeys
  readonly clock: Clock
  /** Whom a push service may write to about what we send; `null`: nobody has said. */
  readonly contact?: () => string | null
  /** The page that a tap on the message opens. */
  readonly pageOf?: (message: Message) => string
  /** Told of an address that is gone, before the sender hears of it. */
  readonly onGone?: (address: string) => void
}

/** Nobody has said whom to write to. The name is reserved, so no mail can go astray (RFC 2606). */
const NOBODY = 'mailto:nobody@brinewatch.example'
/** What a push service has to say about its refusal is shown up to here. */
const MAX_ANSWER = 120
/** Waits that a push service asks for are bounded: an alarm that waits longer is worth another try. */
const LONGEST_WAIT_MS = 15 * 60_000

/** Calls phones and browsers by Web Push (RFC 8030), encrypted for each (RFC 8291). The address is a subscription as JSON text. */
export function createWebPush(options: WebPushOptions): Channel {
  const { keys, clock, contact = () => null, pageOf = () => '/' } = options

  return {
    kind: ChannelKind.push,
    // A reminder is shown without sound or vibration.
    quiet: true,

    async send(message, address, signal) {
      try {
        await call(message, address, signal)
      } catch (error) {
        if (error instanceof DeliveryError && error.failure === FailureKind.gone) options.onGone?.(address)
        throw error
      }
    },
  }

  async function call(message: Message, address: string, signal: AbortSignal): Promise<void> {
    const subscription = readSubscription(address, options)
    if (subscription === null)
      throw gone('Cannot call this phone: what is kept of it cannot be read; add the phone again')
    if (subscription.expiresAtMs !== null && subscription.expiresAtMs <= clock())
      throw gone('Cannot call this phone: its permission has expired; add the phone again on it')
    const { headers, body } = encrypted(subscription, message)
    await refuseFailure(await post(subscription.endpoint, headers, body, signal), clock())
  }

  function encrypted(subscription: PushSubscription, message: Message) {
    try {
      const { headers, body } = webPush.generateRequestDetails(
        { endpoint: subscription.endpoint, keys: { ...subscription.keys } },
        pushPayload(message, pageOf(message)),
        {
          vapidDetails: { subject: contact() ?? NOBODY, ...keys },
          TTL: keptForS(message),
          urgency: urgencyOf(message),
          topic: topicOf(message),
          contentEncoding: 'aes128gcm',
        },
      )
      // fetch counts for itself.
      delete headers['Content-Length']
      return { headers, body }
    } catch (cause) {
      // Such as a key that is no point of the curve.
      throw gone('Cannot call this phone: its keys do not work; add the phone again on it', cause)
    }
  }
}

async function post(
  endpoint: string,
  headers: Readonly<Record<string, string>>,
  body: Buffer,
  signal: AbortSignal,
): Promise<Response> {
  const { host } = new URL(endpoint)
  try {
    return await fetch(endpoint, {
      method: 'POST',
      headers: Object.entries(headers).map(([name, value]): [string, string] => [name, String(value)]),
      body: new Uint8Array(body),
      // A push service has no reason to send us elsewhere, and the signature is good for its own origin only.
      redirect: 'manual',
      signal,
    })
  } catch (cause) {
    throw new DeliveryError(
      FailureKind.temporary,
      signal.aborted
        ? `Cannot call this phone: ${host} did not answer in time`
        : `Cannot call this phone: ${host} cannot be reached; is this machine on the internet?`,
      { cause },
    )
  }
}

async function refuseFailure(response: Response, nowMs: number): Promise<void> {
  const { status } = response
  if (status >= 200 && status < 300) return void response.body?.cancel()
  const { host } = new URL(response.url)
  // RFC 8030 section 7.3: the subscription has ended (404), or the person took it back (410).
  if (status === 404 || status === 410) {
    await response.body?.cancel()
    throw gone('Cannot call this phone: it no longer takes calls from here; add the phone again on it')
  }
  const said = await answerOf(response)
  const words = `Cannot call this phone: ${host} answered ${status}${said === '' ? '' : ` (${said})`}`
  if (status === 429 || status >= 500)
    throw new DeliveryError(FailureKind.temporary, words, {
      retryAfterMs: retryAfterMs(response.headers.get('retry-after'), nowMs),
    })
  // 401 and 403: our keys or the contact do not please; 400 and 413: what we sent. Trying again changes none of it.
  throw new DeliveryError(FailureKind.permanent, words)
}

/** Seconds, or a date (RFC 9110 section 10.2.3). */
export function retryAfterMs(header: string | null, nowMs: number): number | null {
  if (header === null) return null
  const waitMs = /^\d+$/.test(header) ? Number(header) * 1000 : httpDateMs(header) - nowMs
  return Number.isFinite(waitMs) ? Math.min(Math.max(0, waitMs), LONGEST_WAIT_MS) : null
}

/** The parser of dates takes much else, such as a bare "-5" for a year: an HTTP date begins with the day's name. */
const httpDateMs = (text: string): number => (/^[A-Z][a-z]{2,8},? /.test(text) ? Date.parse(text) : NaN)

/** The beginning of what was answered: the first piece that came, however much would follow. */
async function answerOf({ body }: Response): Promise<string> {
  if (body === null) return ''
  try {
    const reader = body.getReader()
    const { value } = await reader.read()
    await reader.cancel()
    const text = Buffer.from(value ?? [])
      .toString()
      .replace(/[^\x20-\x7e]+/g, ' ')
      .trim()
    return text.length > MAX_ANSWER ? `${text.slice(0, MAX_ANSWER)}…` : text
  } catch {
    return ''
  }
}

/** What waits for a phone that is off is replaced by what comes later about the same alarm (RFC 8030 section 5.4). */
function topicOf({ alarmId, id }: Message): string {
  return createHash('sha256')
    .update(alarmId === null ? `message ${id}` : `alarm ${alarmId}`)
    .digest('base64url')
    .slice(0, 32)
}

function gone(message: string, cause?: unknown): DeliveryError {
  return new DeliveryError(FailureKind.gone, message, { cause })
}
