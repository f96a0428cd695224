import { connectAsync } from 'mqtt'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { SETUP_ADDRESS, setupPage } from '../../firmware-protocol/pairing.ts'
import { Board, SharedClock } from './rig/board.ts'
import { Service } from './rig/room.ts'

// The first start of a device, in the interpreter, against the whole service.
const clock = new SharedClock(Date.UTC(2026, 0, 1))
const service = new Service(clock)
const board = new Board(clock, { device: 'x', password: 'x', port: 1 })
beforeAll(async () => {
  await service.open()
  await board.powerOn()
}, 60_000)
afterAll(async () => {
  await board.powerOff()
  await service.close()
  service.remove()
})

async function call(name: string, ...args: unknown[]): Promise<string> {
  const json = JSON.stringify(JSON.stringify(args))
  return board.python(`__import__("logic").${name}(*__import__("json").loads(${json}))`)
}
const get = (path: string) => call('setup_handle', `GET ${path} HTTP/1.1\r\nHost: a\r\n\r\n`)
const post = (fields: Record<string, string>) => {
  const body = new URLSearchParams(fields).toString()
  return call('setup_handle', `POST / HTTP/1.1\r\nContent-Length: ${body.length}\r\n\r\n${body}`)
}
interface Stepped {
  readonly found: any
  readonly said: string
  readonly busy: boolean
}
/** Steps until it knows, on a clock that runs a tenth of a second a step. */
async function settle(stepMs = 100): Promise<Stepped> {
  for (let i = 1; i < 400; i++) {
    const stepped = JSON.parse(await call('setup_step', i * stepMs)) as Stepped
    if (!stepped.busy) return stepped
    await new Promise(resolve => setTimeout(resolve, 5))
  }
  throw new Error('It never knew')
}
const at = () => service.http.replace('http://', '')
const codeFor = async (device: string): Promise<string> =>
  ((await service.api('POST', `/api/v1/devices/${device}/code`, { fresh: true })) as { code: string }).code

describe('a device without settings', () => {
  it('takes the code from its page, and with it gets what it signs in with', async () => {
    // Bytes that it takes beside nothing else: the monitor is not loaded yet.
    expect(Number(await call('setup_begin'))).toBeLessThan(64_000)
    const code = await codeFor('cone-2')
    const address = new URL(setupPage(code, at()))
    expect(address.host).toBe(SETUP_ADDRESS)
    const page = await get(`${address.pathname}${address.search}`)
    expect(page).toMatch(/^HTTP\/1\.0 200 OK\r\n/)
    expect(page).toContain(`value='${code}'`)
    expect(page).toContain(`value='${at()}'`)

    expect(await post({ wifi: 'fish room', secret: 'a & b', at: at(), code })).toContain('Joining')
    const { found } = await settle()
    expect(found).toMatchObject({
      device: 'cone-2',
      broker: '127.0.0.1',
      port: service.port,
      wifi: { name: 'fish room', password: 'a & b' },
    })
    const kept = JSON.parse(await call('first_run_finish', found, { flash_kb: 64 }))
    expect(kept).toMatchObject({ device: 'cone-2', password: found.password, flash_kb: 64 })

    const client = await connectAsync(`mqtt://127.0.0.1:${found.port}`, {
      username: found.device,
      password: found.password,
      protocolVersion: 4,
      reconnectPeriod: 0,
    })
    await client.endAsync()
    // The code is used up.
    await post({ wifi: 'fish room', secret: '', at: at(), code })
    expect((await settle()).said).toMatch(/^Cannot pair: this code/)
  })

  it('says what is wrong, keeps what was typed but the password, and can be tried again', async () => {
    await call('setup_begin')
    expect(await post({ wifi: '', secret: 'sesame', at: 'b:1', code: '<"\'>' })).toContain(
      'Still missing: Name',
    )
    const page = await get('/')
    expect(page).toContain('&lt;&quot;&#39;&gt;')
    expect(page).not.toMatch(/sesame|<"'>/)
    await post({ wifi: 'w', secret: '', at: 'no port:x', code: 'A' })
    expect((await settle()).said).toContain('like 192.168.1.20:8080')
    // Nobody listens on port 1.
    await post({ wifi: 'w', secret: '', at: '127.0.0.1:1', code: 'A' })
    expect((await settle()).said).toContain('does not answer')
    await board.surround({ network: 'away' })
    await post({ wifi: 'w', secret: '', at: at(), code: 'A' })
    expect((await settle(1000)).said).toContain('could not be joined')
    await board.surround({ network: 'up' })
    // A broker is no dashboard.
    await post({ wifi: 'w', secret: '', at: `127.0.0.1:${service.port}`, code: 'A' })
    expect((await settle()).said).toMatch(/is not brinewatch|does not answer/)
  })

  it('answers phones that look for a page with where it is', async () => {
    await call('setup_begin')
    expect(await get('/generate_204')).toMatch(/302 Found\r\n[^]*Location: http:\/\/192\.168\.4\.1\/\r\n/)
    // RFC 1035, section 4.1: a question for the address of example.org.
    const name = [7, ...Buffer.from('example'), 3, ...Buffer.from('org'), 0]
    const question = (type: number) => [...name, 0, type, 0, 1]
    const query = (type: number) => [0xab, 0xcd, 1, 0, 0, 1, 0, 0, 0, 0, 0, 0, ...question(type)]
    expect(JSON.parse(await call('answer_name', query(1)))).toEqual([
      ...[0xab, 0xcd, 0x81, 0x80, 0, 1, 0, 1, 0, 0, 0, 0, ...question(1)],
      ...[0xc0, 0x0c, 0, 1, 0, 1, 0, 0, 0, 60, 0, 4, 192, 168, 4, 1],
    ])
    // For an IPv6 address there is an answer without one, or phones wait.
    expect((JSON.parse(await call('answer_name', query(28))) as number[]).slice(6, 8)).toEqual([0, 0])
    for (const rubbish of [[], query(1).slice(0, 14), [...query(1).slice(0, 12), 63, 1, 2, 3, 4]])
      expect(await call('answer_name', rubbish)).toBe('null')
  })

  it('reads a form as browsers write it', async () => {
    const typed = { wifi: 'Fränzi & Co +1', secret: '100% ☕', code: 'ab cd', at: '' }
    const text = `${new URLSearchParams(typed).toString()}&other=1`
    expect(JSON.parse(await call('setup_form', text))).toEqual(typed)
  })
})
