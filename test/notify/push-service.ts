import {
  createDecipheriv,
  createECDH,
  createPublicKey,
  hkdfSync,
  randomBytes,
  verify,
  type ECDH,
} from 'node:crypto'
import { createServer, type IncomingHttpHeaders } from 'node:http'
import type { AddressInfo } from 'node:net'

/** What a push service got in one request. */
export interface Pushed {
  readonly path: string
  readonly headers: IncomingHttpHeaders
  readonly body: Buffer
}

export interface PushAnswer {
  readonly status: number
  readonly headers?: Readonly<Record<string, string>>
  readonly text?: string
}

/** A push service of our own on loopback (RFC 8030 section 5), and the browsers that subscribed at it. */
export interface PushService {
  readonly origin: string
  readonly pushed: Pushed[]
  /** What it answers next; `null` leaves the request open. 201 unless set. */
  answer: PushAnswer | null
  browser(): Browser
  close(): Promise<void>
}

/** The browser's side: its keys, and what it makes of a message. */
export interface Browser {
  readonly subscription: {
    endpoint: string
    expiresAtMs: number | null
    keys: { p256dh: string; auth: string }
  }
  /** Decrypts (RFC 8291 section 3.4, RFC 8188 section 2). Throws for what was not encrypted for it. */
  open(pushed: Pushed): string
}

export async function startPushService(): Promise<PushService> {
  const pushed: Pushed[] = []
  const server = createServer((request, response) => {
    const chunks: Buffer[] = []
    request.on('data', (chunk: Buffer) => chunks.push(chunk))
    request.on('end', () => {
      pushed.push({ path: request.url!, headers: request.headers, body: Buffer.concat(chunks) })
      if (it.answer === null) return
      response.writeHead(it.answer.status, { location: `${origin}/message/1`, ...it.answer.headers })
      response.end(it.answer.text)
    })
  })
  await new Promise<void>(resolve => server.listen(0, '127.0.0.1', resolve))
  const origin = `http://127.0.0.1:${(server.address() as AddressInfo).port}`
  const it: PushService = {
    origin,
    pushed,
    answer: { status: 201 },
    browser: () => browserAt(`${origin}/push/${randomBytes(16).toString('base64url')}`),
    close: () => {
      server.closeAllConnections()
      return new Promise(resolve => server.close(() => resolve()))
    },
  }
  return it
}

function browserAt(endpoint: string): Browser {
  const own = createECDH('prime256v1')
  own.generateKeys()
  const auth = randomBytes(16)
  return {
    subscription: {
      endpoint,
      expiresAtMs: null,
      keys: { p256dh: own.getPublicKey('base64url'), auth: auth.toString('base64url') },
    },
    open: ({ body }) => decrypt(body, own, auth),
  }
}

/**
 * One record of `aes128gcm`. Its header is salt (16), record size (4), length of the key's name (1) and the name, which is the
 * sender's public key (RFC 8188 section 2.1, RFC 8291 section 4).
 */
export function decrypt(body: Buffer, own: ECDH, auth: Buffer): string {
  const salt = body.subarray(0, 16)
  const recordSize = body.readUInt32BE(16)
  const nameLength = body.readUInt8(20)
  const senders = body.subarray(21, 21 + nameLength)
  const record = body.subarray(21 + nameLength)
  if (record.length > recordSize) throw new Error('more than one record')

  const shared = own.computeSecret(senders)
  const keyInfo = Buffer.concat([Buffer.from('WebPush: info\0'), own.getPublicKey(), senders])
  const material = Buffer.from(hkdfSync('sha256', shared, auth, keyInfo, 32))
  const key = Buffer.from(hkdfSync('sha256', material, salt, 'Content-Encoding: aes128gcm\0', 16))
  const nonce = Buffer.from(hkdfSync('sha256', material, salt, 'Content-Encoding: nonce\0', 12))

  const decipher = createDecipheriv('aes-128-gcm', key, nonce)
  decipher.setAuthTag(record.subarray(-16))
  const padded = Buffer.concat([decipher.update(record.subarray(0, -16)), decipher.final()])
  const end = padded.lastIndexOf(2)
  if (end < 0 || padded.subarray(end + 1).some(byte => byte !== 0))
    throw new Error('no end of the last record')
  return padded.subarray(0, end).toString()
}

export interface Voucher {
  readonly header: Record<string, unknown>
  readonly claims: Record<string, unknown>
  readonly publicKey: string
}

/** Reads `Authorization: vapid t=…, k=…` and checks the signature with the key it names (RFC 8292 sections 2 and 3). */
export function checkVapid(authorization: string | undefined): Voucher {
  const [, token = '', publicKey = ''] = /^vapid t=([\w.-]+), ?k=([\w-]+)$/.exec(authorization ?? '') ?? []
  const [header = '', claims = '', signature = ''] = token.split('.')
  const point = Buffer.from(publicKey, 'base64url')
  const key = createPublicKey({
    format: 'jwk',
    key: {
      kty: 'EC',
      crv: 'P-256',
      x: point.subarray(1, 33).toString('base64url'),
      y: point.subarray(33).toString('base64url'),
    },
  })
  const good = verify(
    'sha256',
    Buffer.from(`${header}.${claims}`),
    { key, dsaEncoding: 'ieee-p1363' },
    Buffer.from(signature, 'base64url'),
  )
  if (!good) throw new Error('the signature does not fit the key')
  const read = (part: string) =>
    JSON.parse(Buffer.from(part, 'base64url').toString()) as Record<string, unknown>
  return { header: read(header), claims: read(claims), publicKey }
}
