import { createHmac } from 'node:crypto'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { createWebhook } from '../../broker/notify/webhook.ts'
import { isRefusedAddress } from '../../broker/notify/webhook-address.ts'
import { aMessage, failureOf, SENT_MS } from './rig/message.ts'
import { startReceiver, withStatus, type Receiver } from './rig/receiver.ts'

const never = new AbortController().signal

describe('the webhook', () => {
  let receiver: Receiver
  let secret: string | null
  const hook = createWebhook({ secret: () => secret, nowMs: () => SENT_MS + 5000 })
  beforeEach(async () => {
    secret = 'between you and me'
    receiver = await startReceiver()
  })
  afterEach(() => receiver.close())

  it('posts JSON with its key, and a signature that the receiver can make itself', async () => {
    await hook.send(aMessage(), `${receiver.url}/hook?room=1`, never)
    const [{ path, headers, body }] = receiver.received as [any]
    expect(path).toBe('/hook?room=1')
    expect(headers).toMatchObject({
      'content-type': 'application/json',
      'brinewatch-delivery': 'x1.1.raised.p1.a1',
      'brinewatch-timestamp': String(SENT_MS / 1000 + 5),
    })
    const signed = `${headers['brinewatch-timestamp']}.${body}`
    const hmac = createHmac('sha256', 'between you and me').update(signed).digest('hex')
    expect(headers['brinewatch-signature']).toBe(`v1=${hmac}`)
    expect(JSON.parse(body)).toEqual({
      id: 'x1.1.raised.p1.a1',
      about: 'alarm',
      occasion: 'raised',
      alarmId: 'x1',
      rule: 'water-too-hot',
      title: 'Too hot, Cone 1: Switch the lamp off',
      text: 'The water is 30.1 °C.\nSwitch the lamp off at a dry plug.',
      priority: 'critical',
      acknowledgeUrl: 'http://192.168.1.20:8080/a/token',
      openUrl: 'http://192.168.1.20:8080/vessel/v1',
      at: '2026-01-10T03:12:00.000Z',
    })
  })

  it('names no rule where it is about no alarm', async () => {
    const { rule: alone, ...reminder } = aMessage({ about: 'reminder', occasion: 'reminder', alarmId: null })
    expect(alone).toBe('water-too-hot')
    await hook.send(reminder, receiver.url, never)
    expect(JSON.parse((receiver.received as [any])[0].body)).toMatchObject({ about: 'reminder', rule: null })
  })

  it('is not signed without a secret', async () => {
    secret = null
    await hook.send(aMessage(), receiver.url, never)
    expect(receiver.received[0]!.headers).not.toHaveProperty('brinewatch-signature')
  })

  it.each([
    [500, 'temporary'],
    [503, 'temporary'],
    [429, 'temporary'],
    [404, 'temporary'],
    [400, 'permanent'],
    [401, 'permanent'],
    [410, 'gone'],
  ])('takes status %i as %s', async (status, failure) => {
    receiver.answer = withStatus(status)
    expect(await failureOf(hook.send(aMessage(), receiver.url, never))).toMatchObject({
      name: 'DeliveryError',
      failure,
    })
  })

  it('waits as long as the receiver asks', async () => {
    receiver.answer = withStatus(503, { 'Retry-After': '90' })
    const error = await failureOf(hook.send(aMessage(), receiver.url, never))
    expect(error.retryAfterMs).toBe(90_000)
  })

  it('does not follow a redirect', async () => {
    const other = await startReceiver()
    receiver.answer = withStatus(307, { location: other.url })
    const error = await failureOf(hook.send(aMessage(), receiver.url, never))
    expect(error).toMatchObject({ failure: 'permanent' })
    expect(other.received).toEqual([])
    await other.close()
  })

  it('says what is wrong when nobody is there, or nobody answers, and settles at once when stopped', async () => {
    await receiver.close()
    const gone = await failureOf(hook.send(aMessage(), receiver.url, never))
    expect(gone).toMatchObject({
      failure: 'temporary',
      message: 'The receiver cannot be reached: nothing listens at this address',
    })
    receiver = await startReceiver(() => undefined)
    const stop = new AbortController()
    const sending = failureOf(hook.send(aMessage(), receiver.url, stop.signal))
    setTimeout(() => stop.abort(), 50)
    const from = Date.now()
    await sending
    expect(Date.now() - from).toBeLessThan(2000)
  })

  it.each([
    'ftp://127.0.0.1/x',
    'file:///etc/passwd',
    'nonsense',
    'http://169.254.1.1/',
    'http://[fe80::1]/',
  ])('sends nothing to %s', async address => {
    expect(await failureOf(hook.send(aMessage(), address, never))).toMatchObject({ failure: 'permanent' })
  })

  it('goes to the own network and this machine, and to no address where no receiver can be', () => {
    // RFC 1918, RFC 4193, and the documentation blocks of RFC 5737 and RFC 3849.
    for (const host of [
      '127.0.0.1',
      '10.1.2.3',
      '172.16.0.9',
      '192.168.1.20',
      '192.0.2.1',
      '[::1]',
      'fd12::1',
      '2001:db8::1',
      'hall.example',
    ])
      expect(isRefusedAddress(host), host).toBe(false)
    // RFC 3927, RFC 4291, RFC 1112; IPv4 inside IPv6 counts as IPv4.
    for (const host of [
      '169.254.7.7',
      '0.0.0.0',
      '224.0.0.1',
      '255.255.255.255',
      '[::]',
      '[fe80::1]',
      'ff02::1',
      '::ffff:169.254.7.7',
    ])
      expect(isRefusedAddress(host), host).toBe(true)
  })
})
