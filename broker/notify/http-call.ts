import { request as httpRequest, type IncomingMessage } from 'node:http'
import { request as httpsRequest } from 'node:https'
import { DeliveryError, FailureKind } from './contract.ts'
import { checkedLookup, isRefusedAddress, REFUSED_WORDS, RefusedAddressError } from './webhook-address.ts'

export interface HttpCall {
  readonly method: 'GET' | 'POST'
  readonly headers: Readonly<Record<string, string>>
  readonly body?: string
}

/** Answers that may be another the next time: a receiver that restarts, is busy, or stands behind a proxy that says so. */
const TEMPORARY: ReadonlySet<number> = new Set([404, 408, 409, 421, 423, 425, 429])

/**
 * Calls an address that a person has set, and resolves when it answers with any status of 2xx. Only http and https, and only
 * addresses where a receiver of theirs can be; redirects are not followed, because what is meant for one receiver is no
 * other's; nothing of the answer but its status is read.
 *
 * @throws DeliveryError
 */
export async function callAddress(address: string, call: HttpCall, signal: AbortSignal): Promise<void> {
  const { status, retryAfterMs } = await ask(address, call, signal)
  if (status >= 200 && status < 300) return
  throw refusal(status, retryAfterMs)
}

/** What is wrong with an address before it is even called; `null` when nothing is. A name is looked up only by a call. */
export function wrongWithAddress(address: string): string | null {
  const url = URL.canParse(address) ? new URL(address) : null
  if (url === null || !/^https?:$/.test(url.protocol))
    return 'Write an address that begins with http:// or https://'
  return isRefusedAddress(url.hostname) ? REFUSED_WORDS : null
}

interface Answer {
  readonly status: number
  readonly retryAfterMs: number | null
}

function ask(address: string, { method, headers, body }: HttpCall, signal: AbortSignal): Promise<Answer> {
  const wrong = wrongWithAddress(address)
  if (wrong !== null) return Promise.reject(new DeliveryError(FailureKind.permanent, wrong))
  const url = new URL(address)
  const send = url.protocol === 'https:' ? httpsRequest : httpRequest
  return new Promise((resolve, reject) => {
    const length = body === undefined ? {} : { 'Content-Length': String(Buffer.byteLength(body)) }
    const request = send(
      url,
      {
        method,
        headers: { 'User-Agent': 'brinewatch', ...headers, ...length },
        signal,
        lookup: checkedLookup,
        agent: false,
      },
      response => {
        resolve({ status: response.statusCode ?? 0, retryAfterMs: retryAfter(response) })
        response.destroy()
      },
    )
    request.on('error', error => reject(unreachable(error)))
    request.end(body)
  })
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
