import { afterEach, describe, expect, it } from 'vitest'
import { Device, type DeviceSetting } from '../../../sim/device/device.ts'
import { seededRandom } from '../../../sim/random.ts'
import { startBareBroker, until, withoutRepeats, type BareBroker } from '../bare-broker.ts'

const open: { stop(): Promise<void> }[] = []
afterEach(async () => {
  for (const thing of open.splice(0).reverse()) await thing.stop()
})

async function broker(options: { port?: number; password?: string } = {}): Promise<BareBroker> {
  const started = await startBareBroker(options)
  open.push(started)
  return started
}

function device(port: number, setting: Partial<DeviceSetting> = {}): Device {
  const made = new Device({
    name: 'bench-1',
    password: 'secret',
    host: '127.0.0.1',
    port,
    now: () => 1_000_000,
    random: seededRandom(1),
    backoff: { firstMs: 10, mostMs: 50 },
    ...setting,
  })
  open.push(made)
  return made
}

/** One reading whose value is its number, so that each can be told apart. */
const numbered = (n: number, atMs = 1_000_000) => ({
  atMs,
  readings: [{ name: 'water', unit: 'Cel', value: n }],
})
const values = (heard: BareBroker['packs']) =>
  heard.flatMap(({ pack }) => pack.measurements.map(({ value }) => value as number))
const upTo = (n: number, from = 0) => Array.from({ length: n - from }, (_, i) => from + i)

describe('a device and its broker', () => {
  for (const format of ['json', 'cbor'] as const) {
    it(`sends what it measured as ${format}, timed back from the moment of sending`, async () => {
      const heard = await broker()
      const bench = device(heard.port, { format })
      bench.sample({
        atMs: 1_000_000 - 3_600_000,
        readings: [
          { name: 'water', unit: 'Cel', value: 26.5 },
          { name: 'air', unit: 'm3/s', value: 8.33e-6 },
        ],
      })
      bench.start()
      await until('acknowledged', () => bench.acknowledged === 2)
      const { pack, payload } = heard.packs[0]!
      expect(String.fromCharCode(payload[0]!) === '[').toBe(format === 'json')
      expect(pack.rejected).toEqual([])
      expect(pack).toMatchObject({ boot: bench.boot, seq: 0, uptimeS: 0 })
      expect(pack.measurements).toEqual([
        { name: 'water', unit: 'Cel', value: 26.5, timeS: -3600 },
        { name: 'air', unit: 'm3/s', value: 8.33e-6, timeS: -3600 },
      ])
    })
  }

  it('works out relative times anew when it sends a pack again', async () => {
    const heard = await broker()
    heard.withhold = true
    let nowMs = 10_000
    const bench = device(heard.port, { now: () => nowMs, acknowledgeWithinMs: 100 })
    bench.sample(numbered(7, 10_000))
    bench.start()
    await until('the first try', () => heard.packs.length === 1)
    nowMs = 70_000
    await until('the second try', () => heard.packs.length === 2)
    heard.withhold = false
    await until('acknowledged', () => bench.acknowledged === 1)
    expect(heard.packs.map(({ pack }) => pack.seq)).toEqual(heard.packs.map(() => 0))
    expect(heard.packs[0]!.pack.measurements[0]!.timeS).toBe(0)
    expect(heard.packs[1]!.pack.measurements[0]!.timeS).toBe(-60)
    expect(withoutRepeats(heard.packs)).toHaveLength(1)
  })

  it('has one pack under way, however much waits', async () => {
    const heard = await broker()
    heard.withhold = true
    const bench = device(heard.port, { packReadings: 10 })
    for (const n of upTo(100)) bench.sample(numbered(n))
    bench.start()
    await until('the first pack', () => heard.packs.length === 1)
    await new Promise(resolve => setTimeout(resolve, 100))
    expect(heard.packs).toHaveLength(1)
    expect(bench.outbox.size).toBe(100)
  })

  it('delivers every reading exactly once across an outage, in order', async () => {
    const first = await broker()
    const bench = device(first.port, { packReadings: 7 })
    bench.start()
    for (const n of upTo(50)) bench.sample(numbered(n))
    await until('some acknowledged', () => bench.acknowledged >= 7)
    first.withhold = true
    for (const n of upTo(100, 50)) bench.sample(numbered(n))
    await first.stop()
    open.splice(open.indexOf(first), 1)
    for (const n of upTo(150, 100)) bench.sample(numbered(n))
    await until('seen to be down', () => !bench.connected)
    const second = await broker({ port: first.port })
    await until('all acknowledged', () => bench.acknowledged === 150)
    expect(bench.outbox.size).toBe(0)
    expect(bench.outbox.dropped).toBe(0)
    expect(values(withoutRepeats([...first.packs, ...second.packs]))).toEqual(upTo(150))
  })

  it('drops the oldest at its limit, counts them, and says so', async () => {
    const heard = await broker()
    const bench = device(heard.port, { outboxReadings: 40, packReadings: 10 })
    for (const n of upTo(100)) bench.sample(numbered(n))
    bench.start()
    await until('all acknowledged', () => bench.acknowledged === 40)
    expect(bench.outbox.dropped).toBe(60)
    expect(values(heard.packs)).toEqual(upTo(100, 60))
    expect(heard.states[0]!.state).toMatchObject({ online: true, backlog: 40, dropped: 60 })
  })

  it('leaves a last will when the network goes, and comes back with what it kept', async () => {
    const heard = await broker()
    const bench = device(heard.port)
    bench.start()
    bench.sample(numbered(1))
    await until('acknowledged', () => bench.acknowledged === 1)
    bench.networkUp = false
    await until('the last will', () => heard.states.at(-1)?.state.online === false)
    expect(heard.states.at(-1)).toEqual({ device: 'bench-1', retained: true, state: { online: false } })
    bench.sample(numbered(2))
    bench.sample(numbered(3))
    bench.networkUp = true
    await until('the rest acknowledged', () => bench.acknowledged === 3)
    expect(values(withoutRepeats(heard.packs))).toEqual([1, 2, 3])
    expect(heard.states.at(-1)!.state.online).toBe(true)
  })

  it('says that it goes when it is stopped, and keeps what nobody acknowledged', async () => {
    const heard = await broker()
    const bench = device(heard.port)
    bench.start()
    await until('connected', () => heard.states.length === 1)
    await bench.stop()
    expect(heard.states.at(-1)).toEqual({ device: 'bench-1', retained: true, state: { online: false } })
    bench.sample(numbered(1))
    expect(bench.outbox.size).toBe(1)
    expect(heard.packs).toHaveLength(0)
  })

  it('stops within three seconds beside a broker that acknowledges nothing', async () => {
    const heard = await broker()
    heard.withhold = true
    const bench = device(heard.port)
    bench.sample(numbered(1))
    bench.start()
    await until('a pack under way', () => heard.packs.length === 1)
    const before = performance.now()
    await bench.stop()
    expect(performance.now() - before).toBeLessThan(3000)
    expect(bench.outbox.size).toBe(1)
    await until('the last word', () => heard.states.at(-1)?.state.online === false)
  })

  it('goes on trying with a refused password, waiting longer each time', async () => {
    const heard = await broker({ password: 'another' })
    const refused: (string | null)[] = []
    const at: number[] = []
    const bench = device(heard.port, {
      backoff: { firstMs: 40, mostMs: 10_000 },
      onLink: (up, why) => {
        expect(up).toBe(false)
        refused.push(why)
        at.push(performance.now())
      },
    })
    bench.sample(numbered(1))
    bench.start()
    await until('four refusals', () => refused.length >= 4)
    expect(refused[0]).toMatch(/not authorized/i)
    // Doubling from 40 ms, each wait at least half: 20, 40, 80.
    expect(at[3]! - at[0]!).toBeGreaterThanOrEqual(140 - 5)
    expect(heard.packs).toHaveLength(0)
    expect(bench.outbox.size).toBe(1)
  })

  it('takes a new boot at every power-up', () => {
    const boots = upTo(50).map(seed => device(1, { random: seededRandom(seed) }).boot)
    expect(new Set(boots).size).toBe(50)
  })
})
