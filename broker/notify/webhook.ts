import { createHmac } from 'node:crypto'
import { request as httpRequest, type IncomingMessage } from 'node:http'
import { request as httpsRequest } from 'node:https'
import { ChannelKind, DeliveryError, FailureKind, type Channel, type Message } from './contract.ts'
import { checkedLookup, isRefusedAddress, REFUSED_WORDS, RefusedAddressError } from './webhook-address.ts'

/** What goes along with the body. The signature is `v1=` and the hexadecimal HMAC-SHA256 of `<timestamp>.<body>`. */
export const WebhookHeader = {
  /** The idempotency key: alike for every attempt. */
  delivery: 'Brinewatch-Delivery',
  /** When this attempt was made, Unix s. A receiver should refuse what is older than some minutes. */
  timestamp: 'Brinewatch-Timestamp',
  signature: 'Brinewatch-Signature',
} as const

/** Answers that may be another the next time: a receiver that restarts, is busy, or stands behind a proxy that says so. */
const TEMPORARY: ReadonlySet<number> = new Set([404, 408, 409, 421, 423, 425, 429])

/**
 * POSTs each message as JSON to the person's own address. Only http and https; redirects are not followed, because a message
 * signed for one receiver is no other's; nothing of the answer but its status is read.
 */
export function createWebhook(parts: { secret: () => string | null; nowMs: () => number }): Channel {
  return {
    kind: ChannelKind.webhook,
    quiet: true,
    async send(message, address, signal) {
      const body = JSON.stringify(webhookBody(message))
      const timestamp = String(Math.floor(parts.nowMs() / 1000))
      const secret = parts.secret()
      const { status, retryAfterMs } = await post(address, body, signal, {
        'Content-Type': 'application/json',
        'Content-Length': String(Buffer.byteLength(body)),
        'User-Agent': 'brinewatch',
        [WebhookHeader.delivery]: message.id,
        [WebhookHeader.timestamp]: timestamp,
        ...(secret === null ? {} : { [WebhookHeader.signature]: sign(secret, timestamp, body) }),
      })
      if (status >= 200 && status < 300) return
      throw refusal(status, retryAfterMs)
    },
  }
}

/** The signature of a body that was sent at a time, Unix s. */
export function sign(secret: string, timestamp: string, body: string): string {
  return `v1=${createHmac('sha256', secret).update(`${timestamp}.${body}`).digest('hex')}`
}

/** What a receiver gets. Fields are added in the course of time, and never change their meaning. */
export function webhookBody(message: Message) {
  const { id, about, occasion, alarmId, title, text, priority, acknowledgeUrl, sentAtMs } = message
  return {
    id,
    about,
    occasion,
    alarmId,
    title,
    text,
    priority,
    acknowledgeUrl,
    at: new Date(sentAtMs).toISOString(),
  }
}

function refusal(status: number, retryAfterMs: number | null): DeliveryError {
  if (status >= 300 && status < 400) {
    const words = `The receiver points to another address (status ${status}): enter that one`
    return new DeliveryError(FailureKind.permanent, words)
  }
  if (status === 410)
    return new DeliveryError(FailureKind.gone, 'The receiver says that this address is gone')
  const kind = status >= 500 || TEMPORARY.has(status) ? FailureKind.temporary : FailureKind.permanent
  return new DeliveryError(kind, `The receiver answered with status ${status}`, { retryAfterMs })
}

interface Answer {
  readonly status: number
  readonly retryAfterMs: number | null
}

function post(
  address: string,
  body: string,
  signal: AbortSignal,
  headers: Readonly<Record<string, string>>,
): Promise<Answer> {
  const url = URL.canParse(address) ? new URL(address) : null
  if (url === null || !/^https?:$/.test(url.protocol))
    return Promise.reject(
      new DeliveryError(FailureKind.permanent, 'The address must begin with http:// or https://'),
    )
  // A name is checked when it has been looked up; an address in the URL itself never is.
  if (isRefusedAddress(url.hostname))
    return Promise.reject(new DeliveryError(FailureKind.permanent, REFUSED_WORDS))
  const send = url.protocol === 'https:' ? httpsRequest : httpRequest
  return new Promise((resolve, reject) => {
    const request = send(
      url,
      { method: 'POST', headers, signal, lookup: checkedLookup, agent: false },
      response => {
        resolve({ status: response.statusCode ?? 0, retryAfterMs: retryAfter(response) })
        response.destroy()
      },
    )
    request.on('error', error => reject(unreachable(error)))
    request.end(body)
  })
}

function retryAfter(response: IncomingMessage): number | null {
  const seconds = Number(response.headers['retry-after'])
  return Number.isFinite(seconds) && seconds > 0 ? seconds * 1000 : null
}

const REASONS: Readonly<Record<string, string>> = {
  ECONNREFUSED: 'nothing listens at this address',
  ECONNRESET: 'it hung up without an answer',
  ENOTFOUND: 'there is no host of this name',
  EAI_AGAIN: 'its name could not be looked up',
  EHOSTUNREACH: 'there is no way to it',
  ENETUNREACH: 'there is no way to it',
  ETIMEDOUT: 'it does not answer',
  CERT_HAS_EXPIRED: 'its certificate has expired',
  DEPTH_ZERO_SELF_SIGNED_CERT: 'its certificate is signed by itself alone',
  SELF_SIGNED_CERT_IN_CHAIN: 'its certificate is signed by nobody we know',
  UNABLE_TO_VERIFY_LEAF_SIGNATURE: 'its certificate is signed by nobody we know',
  ERR_TLS_CERT_ALTNAME_INVALID: 'its certificate is for another name',
}

function unreachable(error: NodeJS.ErrnoException): DeliveryError {
  if (error instanceof RefusedAddressError)
    return new DeliveryError(FailureKind.permanent, REFUSED_WORDS, { cause: error })
  const reason = REASONS[error.code ?? '']
  const words = `The receiver cannot be reached${reason === undefined ? '' : `: ${reason}`}`
  return new DeliveryError(FailureKind.temporary, words, { cause: error })
}
