import { createECDH } from 'node:crypto'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { DeliveryError, type Message } from '../../broker/notify/contract.ts'
import { loadPushKeys, type PushKeys } from '../../broker/notify/push-keys.ts'
import { MAX_PAYLOAD_BYTES } from '../../broker/notify/push-payload.ts'
import { writeSubscription } from '../../broker/notify/push-subscription.ts'
import { createWebPush, retryAfterMs } from '../../broker/notify/web-push.ts'
import { checkVapid, decrypt, startPushService, type Browser, type PushService } from './push-service.ts'

const NOW = Date.UTC(2026, 0, 1)
const MESSAGE: Message = {
  id: 'alarm-1.raised.0',
  about: 'alarm',
  occasion: 'raised',
  alarmId: 'a1b2c3d4e5f6g7h8',
  title: 'Move the lamp away: Left cone',
  text: 'Water 29.9 °C (85.8 °F), limit 29.4 °C.\nNever reach into the water before the plug is out.',
  priority: 'critical',
  acknowledgeUrl: 'https://hatch.example/answer/k3v9?x=1',
  sentAtMs: NOW,
}

let service: PushService
let browser: Browser
let keys: PushKeys
beforeEach(async () => {
  service = await startPushService()
  browser = service.browser()
  keys = await loadPushKeys({ document: async () => undefined, keepDocument: async () => undefined })
})
afterEach(() => service.close())

const channel = (more: object = {}) =>
  createWebPush({ keys, clock: () => NOW, plainLoopback: true, pageOf: () => '/vessel/v1', ...more })
const patience = () => AbortSignal.timeout(5000)
const send = (message: Partial<Message> = {}, address = writeSubscription(browser.subscription)) =>
  channel().send({ ...MESSAGE, ...message }, address, patience())

async function refusal(work: Promise<void>): Promise<DeliveryError> {
  const error: unknown = await work.then(
    () => undefined,
    (thrown: unknown) => thrown,
  )
  expect(error).toBeInstanceOf(DeliveryError)
  return error as DeliveryError
}

describe('the decryption of this test', () => {
  it('opens the example of RFC 8291, section 5', () => {
    // Keys and message: RFC 8291 (2017), section 5 and appendix A.
    const own = createECDH('prime256v1')
    own.setPrivateKey(Buffer.from('q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94', 'base64url'))
    const auth = Buffer.from('BTBZMqHH6r4Tts7J_aSIgg', 'base64url')
    const body = Buffer.from(
      'DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN',
      'base64url',
    )
    expect(decrypt(body, own, auth)).toBe('When I grow up, I want to be a watermelon')
  })
})

describe('a call to a phone', () => {
  it('arrives encrypted for that browser alone, with all that the screen needs', async () => {
    await send()
    expect(service.pushed).toHaveLength(1)
    const [pushed] = service.pushed
    expect(pushed!.path).toBe(new URL(browser.subscription.endpoint).pathname)
    expect(pushed!.headers['content-encoding']).toBe('aes128gcm')
    expect(JSON.parse(browser.open(pushed!))).toEqual({
      about: 'alarm',
      occasion: 'raised',
      priority: 'critical',
      title: MESSAGE.title,
      text: MESSAGE.text,
      alarmId: MESSAGE.alarmId,
      acknowledgePath: '/answer/k3v9?x=1',
      openPath: '/vessel/v1',
      sentAtMs: NOW,
    })
    expect(pushed!.body.includes('lamp')).toBe(false)
    expect(() => service.browser().open(pushed!)).toThrow()
  })

  it('vouches for itself: signed by our key, for that service, for less than a day', async () => {
    await send()
    const { header, claims, publicKey } = checkVapid(service.pushed[0]!.headers.authorization)
    expect(publicKey).toBe(keys.publicKey)
    expect(header).toMatchObject({ alg: 'ES256', typ: 'JWT' })
    expect(claims.aud).toBe(service.origin)
    expect(String(claims.sub)).toMatch(/^(mailto|https):/)
    const leftS = (claims.exp as number) - Date.now() / 1000
    // RFC 8292 section 2: at most 24 hours.
    expect(leftS).toBeGreaterThan(0)
    expect(leftS).toBeLessThanOrEqual(24 * 3600)
  })

  it('tells by its check that a signature is wrong', async () => {
    await send()
    const good = service.pushed[0]!.headers.authorization!
    const tampered = good.replace(/\.([\w-])/, (_, first: string) => `.${first === 'A' ? 'B' : 'A'}`)
    expect(() => checkVapid(tampered)).toThrow()
  })

  it('wakes the phone for what is urgent, and lets the rest wait', async () => {
    await send()
    await send({ priority: 'low' })
    await send({ occasion: 'over' })
    await send({ about: 'reminder', occasion: 'reminder', alarmId: null, priority: 'low' })
    expect(service.pushed.map(({ headers }) => headers.urgency)).toEqual(['high', 'normal', 'normal', 'low'])
    for (const { headers } of service.pushed) expect(Number(headers.ttl)).toBeGreaterThan(0)
  })

  it('replaces at the push service what it said of the same alarm before, and nothing else', async () => {
    await send()
    await send({ id: 'alarm-1.again.1', occasion: 'again' })
    await send({ alarmId: 'another' })
    await send({ about: 'reminder', occasion: 'reminder', alarmId: null, id: 'r1' })
    await send({ about: 'reminder', occasion: 'reminder', alarmId: null, id: 'r2' })
    const topics = service.pushed.map(({ headers }) => headers.topic as string)
    expect(topics[0]).toBe(topics[1])
    expect(new Set(topics).size).toBe(4)
    // RFC 8030 section 5.4.
    for (const topic of topics) expect(topic).toMatch(/^[\w-]{1,32}$/)
  })

  it.each([
    ['long', 'x'.repeat(50_000)],
    ['of wide characters', '€'.repeat(5000)],
    ['of characters that JSON must escape', '\u0001'.repeat(5000)],
    ['of pairs that must not be torn', '🦐'.repeat(2500)],
  ])('is small even when its text is %s', async (_, text) => {
    await send({ text, title: text.slice(0, 150) })
    const payload = browser.open(service.pushed[0]!)
    expect(Buffer.byteLength(payload)).toBeLessThanOrEqual(MAX_PAYLOAD_BYTES)
    expect(service.pushed[0]!.body.length).toBeLessThanOrEqual(4096)
    expect(payload).not.toContain('\ufffd')
    expect((JSON.parse(payload) as { acknowledgePath: string }).acknowledgePath).toBe('/answer/k3v9?x=1')
  })
})

describe('a phone that is gone', () => {
  it.each([404, 410])('is said to be, on %i', async status => {
    service.answer = { status }
    const error = await refusal(send())
    expect(error.failure).toBe('gone')
    expect(error.message).toMatch(/add the phone again/)
  })

  it('is not even called once its permission has run out', async () => {
    const lapsing = (expiresAtMs: number) => writeSubscription({ ...browser.subscription, expiresAtMs })
    expect((await refusal(send({}, lapsing(NOW)))).failure).toBe('gone')
    expect(service.pushed).toHaveLength(0)
    await send({}, lapsing(NOW + 1))
    expect(service.pushed).toHaveLength(1)
  })

  it.each([
    ['no JSON', 'x'],
    ['nothing', 'null'],
    ['no keys', '{"endpoint":"https://push.example/1"}'],
    ['a foreign scheme', '{"endpoint":"file:///etc/passwd","keys":{"p256dh":"B","auth":"A"}}'],
  ])('when what is kept of it is %s', async (_, address) => {
    expect((await refusal(send({}, address))).failure).toBe('gone')
  })

  it('when its key is no point of the curve', async () => {
    const p256dh = Buffer.alloc(65, 1).fill(4, 0, 1).toString('base64url')
    const bad = { ...browser.subscription, keys: { ...browser.subscription.keys, p256dh } }
    expect((await refusal(send({}, writeSubscription(bad)))).failure).toBe('gone')
  })
})

describe('a push service that does not take it', () => {
  it('may ask for patience: 429 with Retry-After in seconds', async () => {
    service.answer = { status: 429, headers: { 'retry-after': '120' }, text: 'slow down' }
    const error = await refusal(send())
    expect(error).toMatchObject({ failure: 'temporary', retryAfterMs: 120_000 })
    expect(error.message).toContain('slow down')
  })

  it('or until a moment, or without saying how long', async () => {
    service.answer = { status: 503, headers: { 'retry-after': new Date(NOW + 90_000).toUTCString() } }
    expect(await refusal(send())).toMatchObject({ failure: 'temporary', retryAfterMs: 90_000 })
    service.answer = { status: 500 }
    expect(await refusal(send())).toMatchObject({ failure: 'temporary', retryAfterMs: null })
  })

  it.each([
    [null, null],
    ['', null],
    ['soon', null],
    ['-5', null],
    ['0', 0],
    [new Date(NOW - 60_000).toUTCString(), 0],
    ['86400', 15 * 60_000],
  ])('%j is waited for %j ms', (header, waitMs) => {
    expect(retryAfterMs(header, NOW)).toBe(waitMs)
  })

  it.each([400, 401, 403, 413])('for good, on %i', async status => {
    service.answer = { status, text: 'no\u0007 <b>' }
    const error = await refusal(send())
    expect(error.failure).toBe('permanent')
    expect(error.message).toContain(String(status))
    expect(error.message).not.toContain('\u0007')
  })

  it('is not followed elsewhere', async () => {
    service.answer = { status: 307, headers: { location: `${service.origin}/elsewhere` } }
    expect((await refusal(send())).failure).toBe('permanent')
    expect(service.pushed).toHaveLength(1)
  })

  it('is not read to the end when it talks without end', async () => {
    service.answer = { status: 400, text: 'x'.repeat(5_000_000) }
    expect((await refusal(send())).message.length).toBeLessThan(300)
  })

  it('or is silent: the call ends when it is told to', async () => {
    service.answer = null
    const stop = new AbortController()
    const work = channel().send(MESSAGE, writeSubscription(browser.subscription), stop.signal)
    setTimeout(() => stop.abort(), 50)
    expect((await refusal(work)).failure).toBe('temporary')
  })

  it('or is not there', async () => {
    const address = writeSubscription(browser.subscription)
    await service.close()
    const error = await refusal(send({}, address))
    expect(error.failure).toBe('temporary')
    expect(error.message).toMatch(/cannot be reached/)
    service = await startPushService()
  })

  it('never has its address or the keys told', async () => {
    service.answer = { status: 400, text: 'no' }
    const { message } = await refusal(send())
    for (const secret of [
      new URL(browser.subscription.endpoint).pathname,
      browser.subscription.keys.auth,
      keys.privateKey,
    ])
      expect(message).not.toContain(secret)
  })
})

describe("the service's own keys", () => {
  it('are made once and stay', async () => {
    const kept = new Map<string, string>()
    const store = {
      document: async (key: string) => kept.get(key),
      keepDocument: async (key: string, json: string) => void kept.set(key, json),
    }
    const first = await loadPushKeys(store)
    expect(await loadPushKeys(store)).toEqual(first)
    expect(kept.size).toBe(1)
  })

  it('that are damaged are said to be, and not told', async () => {
    const store = { document: async () => '{"privateKey":"secret"', keepDocument: async () => undefined }
    const error = await loadPushKeys(store).then(
      () => null,
      (thrown: unknown) => thrown as Error,
    )
    expect(error?.message).toMatch(/restore a backup/)
    expect(error?.message).not.toContain('secret')
  })
})
