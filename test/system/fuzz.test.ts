import { connect } from 'node:net'
import fc from 'fast-check'
import mqtt from 'mqtt'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { freshDir, mosquittoPub, removeDir, startProgram, until, type Program } from './program.ts'

/** Inputs a test; more: BRINEWATCH_FUZZ=100000. */
const INPUTS = Number(process.env.BRINEWATCH_FUZZ ?? 300)

/** Whatever comes over the wire, the program lives on, and serves the next one who speaks properly. */
describe('garbage on the wire', () => {
  const dir = freshDir()
  let program: Program
  let device: { device: string; password: string }

  beforeAll(async () => {
    program = await startProgram(dir)
    device = program.addDevice('bench-1')
  })
  afterAll(async () => {
    expect(await program.stop(), 'ended cleanly after all of it').toBe(0)
    removeDir(dir)
  })

  const stillServes = async (value: number) => {
    expect(mosquittoPub(program, device, `[{"n":"water","u":"Cel","v":${value}}]`).status).toBe(0)
    const { body } = await program.api('GET', '/api/v1/devices')
    const water = body.devices[0].channels.find((channel: any) => channel.name === 'water')
    expect(water.latest.value).toBe(value)
    expect((await program.api('GET', '/healthz')).status).toBe(200)
  }

  it('survives bytes that are no MQTT, and packets with bytes changed', async () => {
    const any = fc.sample(fc.uint8Array({ minLength: 1, maxLength: 200 }), INPUTS)
    const changed = fc.sample(
      fc.array(fc.tuple(fc.nat(), fc.integer({ min: 0, max: 255 })), { minLength: 1, maxLength: 6 }),
      INPUTS,
    )
    const proper = properPackets(device)
    await inLanes(
      [...any.map(bytes => Buffer.from(bytes)), ...changed.map(places => mutate(proper, places))],
      bytes => throwAt(program.mqttHost, program.mqttPort, bytes),
    )
    await stillServes(26.5)
  })

  it('acknowledges every payload, good or not, and sets aside what it cannot read', async () => {
    const client = await mqtt.connectAsync(`mqtt://${program.mqttHost}:${program.mqttPort}`, {
      clientId: 'bench-1',
      username: device.device,
      password: device.password,
    })
    const closed: unknown[] = []
    client.on('close', () => closed.push('closed'))
    const payloads = [
      ...fc.sample(fc.uint8Array({ maxLength: 300 }), INPUTS).map(bytes => Buffer.from(bytes)),
      ...fc.sample(fc.json(), INPUTS).map(text => Buffer.from(text)),
      ...fc.sample(nearlySenml, INPUTS).map(value => Buffer.from(JSON.stringify(value))),
    ]
    await Promise.all(
      payloads.map(payload => client.publishAsync('brinewatch/v1/bench-1/measurements', payload, { qos: 1 })),
    )
    expect(closed).toEqual([])
    await client.endAsync()
    const { body } = await program.api('GET', '/api/v1/quarantine?limit=1000')
    expect(body.quarantine.length).toBeGreaterThan(INPUTS)
    expect(body.quarantine.every((entry: any) => entry.detail.length > 10)).toBe(true)
    await stillServes(26.75)
  })

  it('survives bytes that are no HTTP', async () => {
    const { hostname, port } = new URL(program.http)
    const requests = fc.sample(
      fc.tuple(
        fc.constantFrom('GET', 'POST', 'PUT', 'BREW', ''),
        fc.string({ maxLength: 60 }),
        fc.string({ maxLength: 200 }),
      ),
      INPUTS,
    )
    await inLanes(
      requests.map(([method, path, rest]) =>
        Buffer.from(`${method} /${path} HTTP/1.1\r\nhost: ${rest}\r\n\r\n${rest}`),
      ),
      bytes => throwAt(hostname, Number(port), bytes),
    )
    await until(
      () => program.api('GET', '/healthz'),
      answer => answer.status === 200,
    )
    await stillServes(27)
    expect(program.log()).not.toMatch(/uncaught|unhandled/i)
  })
})

/** Records that are SenML in all but one thing or another. */
const nearlySenml = fc.array(
  fc.record(
    {
      n: fc.oneof(
        fc.constantFrom('water', 'air', 'light', 'seq', 'boot', '1/water'),
        fc.string({ maxLength: 20 }),
      ),
      bn: fc.oneof(fc.constantFrom('', 'x/'), fc.integer()),
      u: fc.oneof(fc.constantFrom('Cel', 'l/min', 'lx', 'K', 'degF'), fc.integer()),
      v: fc.oneof(fc.double(), fc.constantFrom('27', null, 1e308, -1e308)),
      vs: fc.oneof(fc.string({ maxLength: 10 }), fc.integer()),
      t: fc.oneof(fc.double(), fc.constantFrom(-1e300, 1e300, 'now')),
      bver: fc.constantFrom(10, 11, -1, 'x'),
    },
    { requiredKeys: [] },
  ),
  { maxLength: 8 },
)

/** CONNECT, SUBSCRIBE and PUBLISH as MQTT 3.1.1 wants them (OASIS Standard, 2014, sections 3.1, 3.8, 3.3). */
function properPackets({ device, password }: { device: string; password: string }): Buffer {
  const text = (value: string) => {
    const bytes = Buffer.from(value)
    return Buffer.concat([Buffer.from([bytes.length >> 8, bytes.length & 255]), bytes])
  }
  const packet = (type: number, ...parts: Buffer[]) => {
    const body = Buffer.concat(parts)
    return Buffer.concat([Buffer.from([type, body.length]), body])
  }
  return Buffer.concat([
    packet(0x10, text('MQTT'), Buffer.from([4, 0xc2, 0, 60]), text('fuzz'), text(device), text(password)),
    packet(0x82, Buffer.from([0, 1]), text(`brinewatch/v1/${device}/config`), Buffer.from([1])),
    packet(0x32, text(`brinewatch/v1/${device}/fuzz`), Buffer.from([0, 2]), Buffer.from('[]')),
  ])
}

function mutate(bytes: Buffer, places: readonly (readonly [number, number])[]): Buffer {
  const changed = Buffer.from(bytes)
  for (const [place, value] of places) changed[place % changed.length] = value
  return changed
}

/** Sends the bytes on a connection of their own, and waits a moment for the other side to close it. */
function throwAt(host: string, port: number, bytes: Buffer): Promise<void> {
  return new Promise(resolve => {
    const socket = connect(port, host, () => socket.write(bytes))
    const done = () => {
      socket.destroy()
      resolve()
    }
    socket.on('error', done)
    socket.on('close', done)
    setTimeout(done, 30)
  })
}

async function inLanes<T>(items: readonly T[], work: (item: T) => Promise<void>): Promise<void> {
  let next = 0
  const lane = async () => {
    while (next < items.length) await work(items[next++]!)
  }
  await Promise.all(Array.from({ length: 20 }, lane))
}
