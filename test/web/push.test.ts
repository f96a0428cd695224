import { describe, expect, it } from 'vitest'
import { Called, Phone, Phones } from '../../broker/web/api/push.ts'
import { answer, bench, refusal } from './harness.ts'

const SUBSCRIPTION = {
  endpoint: 'https://push.example/v1/abc',
  expirationTime: null,
  keys: { p256dh: 'B'.repeat(87), auth: 'A'.repeat(22) },
}
const NEW = { name: 'my phone', person: 'Kim', subscription: SUBSCRIPTION }
const NOBODY = '0'.repeat(24)

describe('phones that are called', () => {
  it('are added, found, tried out and taken away', async () => {
    const { ask, phones } = bench()
    const added = await answer(await ask('POST', '/api/v1/push/phones', NEW), 201, Phone)
    expect(added).toMatchObject({ name: 'my phone', person: 'Kim' })
    expect(phones.added).toEqual([
      {
        ...NEW,
        subscription: { endpoint: SUBSCRIPTION.endpoint, keys: SUBSCRIPTION.keys, expiresAtMs: null },
      },
    ])

    const seen = await answer(await ask('GET', '/api/v1/push'), 200, Phones)
    expect(seen.phones).toEqual([added])
    expect(seen.publicKey).toBe('BKEY')
    expect(seen.lost[0]!.at).toMatch(/^\d{4}-.*Z$/)

    const tried = await answer(await ask('POST', `/api/v1/push/phones/${added.id}/test`), 200, Called)
    expect(tried.arrived).toBe(true)

    expect((await ask('DELETE', `/api/v1/push/phones/${added.id}`)).status).toBe(204)
    await refusal(await ask('DELETE', `/api/v1/push/phones/${added.id}`), 404)
  })

  it('are told without the address at which they are called', async () => {
    const { ask } = bench()
    await ask('POST', '/api/v1/push/phones', NEW)
    const text = await (await ask('GET', '/api/v1/push')).text()
    expect(text).not.toContain('push.example')
    expect(text).not.toContain(SUBSCRIPTION.keys.auth)
  })

  it('keep when their permission ends', async () => {
    const { ask, phones } = bench()
    await ask('POST', '/api/v1/push/phones', { ...NEW, subscription: { ...SUBSCRIPTION, expirationTime: 5 } })
    expect(phones.added[0]!.subscription.expiresAtMs).toBe(5)
  })

  it.each([
    [{ ...NEW, name: ' ' }, 'name'],
    [{ ...NEW, person: 'x'.repeat(81) }, 'person'],
    [{ ...NEW, subscription: {} }, 'subscription.endpoint'],
    [
      { ...NEW, subscription: { ...SUBSCRIPTION, keys: { p256dh: '', auth: 'A' } } },
      'subscription.keys.p256dh',
    ],
    [{ ...NEW, subscription: { ...SUBSCRIPTION, endpoint: 'http://push.example/1' } }, 'subscription'],
  ])('are refused with the field that is wrong (%#)', async (sent, field) => {
    const { fields } = await refusal(await bench().ask('POST', '/api/v1/push/phones', sent), 422)
    expect(fields).toContain(field)
  })

  it('that are not there are not found', async () => {
    const { ask } = bench()
    await refusal(await ask('POST', `/api/v1/push/phones/${NOBODY}/test`), 404)
    await refusal(await ask('DELETE', '/api/v1/push/phones/..'), 404)
    await refusal(await ask('DELETE', '/api/v1/push/phones/xyz'), 422)
  })

  it('are nobody’s business who has not signed in', async () => {
    const { ask } = bench({ signIn: true })
    await refusal(await ask('GET', '/api/v1/push'), 401)
    await refusal(await ask('POST', '/api/v1/push/phones', NEW), 401)
  })
})
