import { afterEach, describe, expect, it } from 'vitest'
import { Device } from '../../../sim/device/device.ts'
import { seededRandom } from '../../../sim/random.ts'
import { startBareBroker, until } from '../bare-broker.ts'

const open: { stop(): Promise<void> }[] = []
afterEach(async () => {
  for (const thing of open.splice(0).reverse()) await thing.stop()
})

async function told() {
  const heard = await startBareBroker({})
  open.push(heard)
  const asked: string[] = []
  let nowMs = 1_000_000
  const device = new Device({
    name: 'bench-1',
    password: 'secret',
    host: '127.0.0.1',
    port: heard.port,
    now: () => nowMs,
    random: seededRandom(1),
    backoff: { firstMs: 10, mostMs: 50 },
    onMeasureNow: () => asked.push('measure'),
    onIdentify: seconds => asked.push(`blink ${seconds}`),
  })
  open.push(device)
  device.start()
  await until('connected', () => device.connected && heard.subscriptions.size > 2)
  const tell = (payload: string) => heard.tell('brinewatch/v1/bench-1/command', payload, false)
  return { heard, device, asked, tell, advance: (ms: number) => (nowMs += ms) }
}

describe('a simulated device that is told', () => {
  it('to blink does so for as long, and to report measures at once', async () => {
    const { device, asked, tell, advance } = await told()
    await tell('{"command":"identify","seconds":20}')
    await until('blinking', () => device.identifying)
    advance(20_000)
    expect(device.identifying).toBe(false)
    for (const rubbish of ['', '{', '{"command":"dance"}', '{"command":"identify","seconds":0}'])
      await tell(rubbish)
    await tell('{"command":"report"}')
    await until('measured', () => asked.includes('measure'))
    expect(asked).toEqual(['blink 20', 'measure'])
  })

  it('to restart comes back as another power-up, and what it had measured arrives once', async () => {
    const { heard, device, tell, advance } = await told()
    const sample = (value: number) =>
      device.sample({ atMs: 1_000_000, readings: [{ name: 'water', unit: 'Cel', value }] })
    sample(1)
    await until('acknowledged', () => device.acknowledged === 1)
    const before = device.boot
    advance(60_000)
    await tell('{"command":"restart"}')
    await until('restarted', () => device.boot !== before && device.connected)
    sample(2)
    await until('acknowledged', () => device.acknowledged === 2)
    expect(heard.packs.map(({ pack }) => [pack.boot, pack.seq, pack.uptimeS])).toEqual([
      [before, 0, 0],
      [device.boot, 0, 0],
    ])
  })
})
