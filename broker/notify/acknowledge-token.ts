import { createHmac, timingSafeEqual } from 'node:crypto'

/** How long a link acknowledges, ms: a week is longer than any alarm should stand. */
export const LINK_VALID_MS = 7 * 86_400_000
/** 128 bits of the code are kept: nobody guesses them, and the link stays short enough for a text message. */
const CODE_BYTES = 16
const LONGEST = 400

/** For whom a link acknowledges what. */
export interface Grant {
  readonly alarmId: string
  readonly personId: string
  readonly untilMs: number
}

/** What stands behind `/a/` in a link: who may acknowledge which alarm until when, and a code that only we can make. */
export function makeToken(key: Buffer, { alarmId, personId, untilMs }: Grant): string {
  const said = Buffer.from(JSON.stringify([alarmId, personId, untilMs])).toString('base64url')
  return `${said}.${code(key, said).toString('base64url')}`
}

/** The grant, or `null` for what we did not make, or is no longer valid. */
export function readToken(key: Buffer, token: string, nowMs: number): Grant | null {
  if (token.length > LONGEST) return null
  const [said, mark, ...rest] = token.split('.')
  if (said === undefined || mark === undefined || rest.length > 0) return null
  const brought = Buffer.from(mark, 'base64url')
  // Base64 has several spellings of the same bytes: only our own is taken.
  if (brought.length !== CODE_BYTES || brought.toString('base64url') !== mark) return null
  if (!timingSafeEqual(brought, code(key, said))) return null
  const [alarmId, personId, untilMs] = JSON.parse(Buffer.from(said, 'base64url').toString()) as [
    string,
    string,
    number,
  ]
  return nowMs < untilMs ? { alarmId, personId, untilMs } : null
}

function code(key: Buffer, said: string): Buffer {
  return createHmac('sha256', key).update(`acknowledge ${said}`).digest().subarray(0, CODE_BYTES)
}
