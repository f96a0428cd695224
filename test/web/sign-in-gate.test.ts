import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { setPassword } from '../../broker/password.ts'
import { createSignInGate } from '../../broker/web/sign-in-gate.ts'
import { NOW_MS } from './examples.ts'
import { bench, refusal } from './harness.ts'

// The limiter keeps its own time, so here time is faked.
beforeEach(() => vi.useFakeTimers({ now: NOW_MS }))
afterEach(() => vi.useRealTimers())

const wrong = async () => false
const right = async () => true

describe('the gate before the password', () => {
  it('makes an address wait after five wrong ones: 30 s, then twice as long each time, up to 15 min', async () => {
    const gate = createSignInGate()
    for (let n = 0; n < 5; n++) expect(await gate('10.0.0.1', wrong)).toEqual({ right: false })
    for (const waitS of [30, 60, 120, 240, 480, 900, 900]) {
      let asked = false
      const held = await gate('10.0.0.1', async () => (asked = true))
      expect(held).toEqual({ waitS })
      expect(asked).toBe(false)
      vi.advanceTimersByTime(waitS * 1000 - 1)
      expect(await gate('10.0.0.1', right)).toEqual({ waitS: 1 })
      vi.advanceTimersByTime(1)
      expect(await gate('10.0.0.1', wrong)).toEqual({ right: false })
    }
  })

  it('keeps count of tries that come all at once', async () => {
    const gate = createSignInGate()
    let hashed = 0
    let atOnce = 0
    let most = 0
    const slow = async () => {
      hashed += 1
      most = Math.max(most, ++atOnce)
      await Promise.resolve()
      atOnce -= 1
      return false
    }
    await Promise.all(Array.from({ length: 200 }, () => gate('10.0.0.1', slow)))
    expect(hashed).toBe(5)
    expect(most).toBe(1)
  })

  it('forgets the wrong ones at a right one', async () => {
    const gate = createSignInGate()
    for (let round = 0; round < 3; round++) {
      for (let n = 0; n < 4; n++) await gate('10.0.0.1', wrong)
      expect(await gate('10.0.0.1', right)).toEqual({ right: true })
    }
  })

  it('does not make one address wait for another, but counts a /64 of IPv6 as one', async () => {
    const gate = createSignInGate()
    for (let n = 0; n < 5; n++) await gate(`2001:db8:0:1::${n}`, wrong)
    expect(await gate('2001:db8:0:1:ffff::', right)).toEqual({ waitS: 30 })
    expect(await gate('2001:db8:0:2::1', right)).toEqual({ right: true })
    for (let n = 0; n < 5; n++) await gate('::ffff:10.0.0.1', wrong)
    expect(await gate('10.0.0.1', right)).toEqual({ waitS: 30 })
    expect(await gate('10.0.0.2', right)).toEqual({ right: true })
  })

  it('closes for everybody after a hundred wrong ones from everywhere, for a quarter of an hour', async () => {
    const gate = createSignInGate()
    for (let n = 0; n < 100; n++) expect(await gate(`10.0.1.${n}`, wrong)).toEqual({ right: false })
    expect(await gate('10.0.2.1', right)).toEqual({ waitS: 900 })
    vi.advanceTimersByTime(900_000)
    expect(await gate('10.0.2.1', right)).toEqual({ right: true })
  })

  it('goes on when a check fails', async () => {
    const gate = createSignInGate()
    await expect(gate('10.0.0.1', () => Promise.reject(new Error('no store')))).rejects.toThrow('no store')
    expect(await gate('10.0.0.1', right)).toEqual({ right: true })
  })
})

describe('signing in over HTTP', () => {
  it('answers 429 with Retry-After once an address has to wait, even to the right password', async () => {
    const { ask, store } = bench({ signIn: true })
    await setPassword(store, 'brine and air', NOW_MS)
    const address = '10.0.0.1'
    for (let n = 0; n < 5; n++) {
      await refusal(await ask('POST', '/api/v1/session', { password: 'guess' }, { address }), 401)
    }
    const response = await ask('POST', '/api/v1/session', { password: 'brine and air' }, { address })
    expect(response.headers.get('retry-after')).toBe('30')
    await refusal(response, 429)
    const other = await ask('POST', '/api/v1/session', { password: 'brine and air' }, { address: '10.0.0.2' })
    expect(other.status).toBe(200)
  })
})
