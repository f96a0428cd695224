import { describe, expect, it } from 'vitest'
import { pairingAnswer } from '../../firmware-protocol/pairing.ts'
import { CODE_MS, MOST_CODES } from '../../broker/devices/pairing.ts'
import { hashSecret } from '../../broker/secrets.ts'
import { DeviceCode, NewPassword } from '../../broker/web/api/device-access.ts'
import { answer, bench, refusal, type Bench } from './harness.ts'

const codeFor = async ({ ask }: Bench, name: string, body: object = {}) =>
  answer(await ask('POST', `/api/v1/devices/${name}/code`, body), 201, DeviceCode)
const redeem = ({ ask }: Bench, code: string, address = '192.168.1.77') =>
  ask('POST', '/api/v1/pairing', { code }, { address })

describe('a pairing code', () => {
  it('lets a new device in, once, whatever way it is typed', async () => {
    const it = bench()
    const { code, expiresAt, pages } = await codeFor(it, 'cone-1', { fresh: true })
    expect(code).toMatch(/^[0-9A-HJKMNP-TV-Z]{4}-[0-9A-HJKMNP-TV-Z]{4}$/)
    expect(Date.parse(expiresAt)).toBe(it.nowMs + CODE_MS)
    expect(pages).toEqual([`http://192.168.4.1/?code=${code.replace('-', '')}&at=192.168.1.20:8080`])
    const typed = ` ${code.toLowerCase().replaceAll('0', 'o').replaceAll('1', 'l').replace('-', ' ')} `
    const paired = await answer(await redeem(it, typed), 200, pairingAnswer)
    expect(paired).toMatchObject({ device: 'cone-1', mqttPort: 1883 })
    expect(it.store.deviceRows.find(row => row.name === 'cone-1')?.offeredHash).toBe(
      hashSecret(paired.password),
    )
    expect((await refusal(await redeem(it, code), 422)).fields).toEqual(['code'])
  })

  it('is neither kept nor logged, and is good for ten minutes', async () => {
    const it = bench()
    const { code } = await codeFor(it, 'cone-1')
    const plain = code.replace('-', '')
    expect(JSON.stringify([it.store.recordRows, it.logged])).not.toMatch(new RegExp(`${plain}|${code}`))
    it.nowMs += CODE_MS
    await refusal(await redeem(it, code), 422)
    it.nowMs -= 1
    await refusal(await redeem(it, code), 422)
  })

  it('is void when another is made for its device, and there are only so many', async () => {
    const it = bench()
    const first = await codeFor(it, 'cone-1')
    const second = await codeFor(it, 'cone-1')
    await refusal(await redeem(it, first.code), 422)
    expect((await redeem(it, second.code)).status).toBe(200)
    for (let i = 0; i < MOST_CODES; i++) await codeFor(it, `c-${i}`)
    await refusal(await it.ask('POST', '/api/v1/devices/one-more/code', {}), 409)
    it.nowMs += CODE_MS
    await codeFor(it, 'one-more')
  })

  it('cannot be guessed: an address waits after five, and its right code waits too', async () => {
    const it = bench()
    const { code } = await codeFor(it, 'cone-1')
    for (let i = 0; i < 5; i++) await refusal(await redeem(it, `0000000${i}`), 422)
    const late = await redeem(it, code)
    expect(late.headers.get('retry-after')).toMatch(/^\d+$/)
    await refusal(late, 429)
    expect((await redeem(it, code, '192.168.1.78')).status).toBe(200)
  })

  it('is all that is asked for: no sign-in, and making one asks for that', async () => {
    const it = bench({ signIn: true })
    await refusal(await it.ask('POST', '/api/v1/devices/cone-1/code', {}), 401)
    await refusal(await redeem(it, '00000000'), 422)
    await refusal(await it.ask('GET', '/api/v1/pairing'), 401)
  })

  it('is refused to pages of other origins, and where devices sign in elsewhere', async () => {
    const it = bench()
    const foreign = { headers: { origin: 'http://elsewhere.example' } }
    await refusal(await it.ask('POST', '/api/v1/pairing', { code: '00000000' }, foreign), 403)
    const other = bench({ connect: () => ({ mqttPort: null, dataDir: 'data' }) })
    await refusal(await redeem(other, '00000000'), 409)
  })

  it('for a new device needs a name that is free, when that is asked for', async () => {
    const it = bench()
    await codeFor(it, 'cone-1', { fresh: true })
    const { fields } = await refusal(
      await it.ask('POST', '/api/v1/devices/cone-1/code', { fresh: true }),
      409,
    )
    expect(fields).toEqual(['name'])
    await codeFor(it, 'cone-1')
  })
})

describe('the credentials of a device', () => {
  it('are given anew beside the present ones', async () => {
    const it = bench()
    await it.ask('POST', '/api/v1/devices', { name: 'cone-1' })
    const before = it.store.deviceRows[0]!.secretHash
    const made = await answer(await it.ask('POST', '/api/v1/devices/cone-1/password'), 201, NewPassword)
    expect(it.store.deviceRows[0]).toMatchObject({
      secretHash: before,
      offeredHash: hashSecret(made.password),
      offeredUntilMs: Date.parse(made.expiresAt),
    })
    await refusal(await it.ask('POST', '/api/v1/devices/none/password'), 404)
  })

  it('end at once when they are revoked, with the codes of the device; then it can be removed', async () => {
    const it = bench()
    const { code } = await codeFor(it, 'cone-1')
    await refusal(await it.ask('DELETE', '/api/v1/devices/cone-1'), 409)
    expect((await it.ask('POST', '/api/v1/devices/cone-1/revoke')).status).toBe(204)
    expect(it.told).toEqual(['cone-1 expelled'])
    await refusal(await redeem(it, code), 422)
    await refusal(await it.ask('POST', '/api/v1/devices/cone-1/revoke'), 404)
    expect((await it.ask('DELETE', '/api/v1/devices/cone-1')).status).toBe(204)
    await refusal(await it.ask('DELETE', '/api/v1/devices/cone-1'), 404)
  })

  it('are given to a device of a revoked name as to a new one', async () => {
    const it = bench()
    await codeFor(it, 'cone-1')
    await it.ask('POST', '/api/v1/devices/cone-1/revoke')
    await codeFor(it, 'cone-1', { fresh: true })
    expect(it.store.deviceRows).toMatchObject([{ name: 'cone-1', revokedAtMs: null }])
  })
})

describe('a command', () => {
  it('is told to a device that is on line', async () => {
    const it = bench()
    const sent = await it.ask('POST', '/api/v1/devices/bench-1/command', { command: 'identify', seconds: 20 })
    expect(sent.status).toBe(204)
    expect(it.told).toEqual(['brinewatch/v1/bench-1/command {"command":"identify","seconds":20}'])
    const path = '/api/v1/devices/bench-1/command'
    expect((await refusal(await it.ask('POST', path, { command: 'dance' }), 422)).fields).toEqual(['command'])
    await refusal(await it.ask('POST', '/api/v1/devices/none/command', { command: 'report' }), 404)
  })
})
