import { spawnSync } from 'node:child_process'
import { readdirSync, readFileSync } from 'node:fs'
import { connect, type Socket } from 'node:net'
import mqttPacket from 'mqtt-packet'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import WebSocket from 'ws'
import { encodePack } from '../../firmware-protocol/pack.ts'
import { openFilesLimit } from '../../broker/open-files.ts'
import { hashSecret } from '../../broker/secrets.ts'
import { openStore } from '../../broker/store/sqlite/open.ts'
import { BenchDevice, called, watchedVessel } from './bench-device.ts'
import { freshDir, removeDir, startProgram, until, type Program } from './program.ts'

const wait = (ms: number) => new Promise(resolve => setTimeout(resolve, ms))
const CROWD = 500
/**
 * Of a heap that may grow to 128 MiB the service must live through all of this. What is resident counts its threads and
 * buffers too: 235 MB is the bar for 200 vessels at one reading a second (see "How fast it is").
 */
const HEAP_MB = 128
const RESIDENT_MB = 400

/**
 * Too much of everything, at one and the same running program, that has little memory. Expected throughout: a device that behaves gets
 * its acknowledgement and its alarm within bounds, memory stays bounded, and afterwards all is as before.
 */
describe('a crowd', () => {
  const dir = freshDir()
  let program: Program
  let good: BenchDevice
  let vessel: string
  const credentials = (device: string) => ({ device, password: `secret of ${device}` })
  const residentMb = () =>
    Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${program.pid}/status`, 'utf8'))![1]) / 1024

  /** The good device's water gets hot and well again; milliseconds to the acknowledgement and to the alarm. */
  async function served(): Promise<{ ackMs: number; calledMs: number }> {
    const [ackMs, calledMs] = await Promise.all([good.send(36), called(program, vessel)])
    const standing = (await program.api('GET', '/api/v1/alarms?standing=true')).body.alarms
    await good.send(27)
    for (const { id, vesselId } of standing)
      if (vesselId === vessel) await program.api('POST', `/api/v1/alarms/${id}/acknowledge`, {})
    await until(
      async () => (await program.api('GET', '/api/v1/alarms?standing=true')).body.alarms,
      alarms => alarms.every((alarm: any) => alarm.vesselId !== vessel),
    )
    expect(calledMs).not.toBeNull()
    return { ackMs, calledMs: calledMs! }
  }

  /** Bytes in, and nothing read unless asked to: no client library is so bad. */
  function raw(device: string, clientId = device): Promise<Socket> {
    const { password } = credentials(device)
    const socket = connect({ host: program.mqttHost, port: program.mqttPort })
    socket.on('error', () => undefined)
    const hello = mqttPacket.generate({
      cmd: 'connect',
      protocolId: 'MQTT',
      protocolVersion: 4,
      clean: true,
      clientId,
      keepalive: 0,
      username: device,
      password: Buffer.from(password),
    })
    socket.write(hello)
    return new Promise((resolve, reject) => {
      socket.once('data', () => resolve(socket))
      socket.once('close', () => reject(new Error('the connection was closed')))
    })
  }
  function publishing(device: string, seq: number, value: number, boot = 'flood'): Buffer {
    const measurements = [{ name: 'water', unit: 'Cel', value, timeS: 0 }]
    const payload = Buffer.from(encodePack({ boot, seq, measurements }, 'json'))
    const topic = `brinewatch/v1/${device}/measurements`
    const messageId = (seq % 65_535) + 1
    return mqttPacket.generate({
      cmd: 'publish',
      topic,
      payload,
      qos: 1,
      dup: false,
      retain: false,
      messageId,
    })
  }

  beforeAll(async () => {
    const store = await openStore({ dir, threads: false })
    const names = ['good-1', 'flood-1', 'gone-1', ...Array.from({ length: CROWD }, (_, n) => `crowd-${n}`)]
    for (const name of names) {
      const secretHash = hashSecret(credentials(name).password)
      await store.addDevice({ name, secretHash, createdAtMs: Date.now() })
    }
    await store.close()
    program = await startProgram(dir, ['--backups', 'none'], [`--max-old-space-size=${HEAP_MB}`])
    vessel = await watchedVessel(program, 'good-1', 'Cone 1')
    good = await new BenchDevice(credentials('good-1')).connect(program)
    await good.send(27)
  })
  afterAll(async () => {
    good.end()
    await program.stop()
    removeDir(dir)
  })

  /**
   * There is no limit on a device's rate: the bound is that of its connection. Its packets wait in its own socket while those before
   * are written (`MOST_UNDER_WAY` of `intake/straight-lane.ts`), and each turn of the event loop serves every connection.
   */
  it('a device that floods: the others are served', async () => {
    const socket = await raw('flood-1')
    let acks = 0
    socket.on('data', (bytes: Buffer) => (acks += bytes.length / 4))
    let seq = 0
    let isServed = false
    const flood = (async () => {
      // Until the others were served, and at least half a second's flood.
      while (!isServed || seq <= 5000) {
        // 10,000 a second, if they are taken.
        const batch = Buffer.concat(Array.from({ length: 100 }, () => publishing('flood-1', seq++, 27)))
        if (!socket.write(batch)) await new Promise(resolve => socket.once('drain', resolve))
        await wait(10)
      }
    })()
    await until(
      async () => acks,
      count => count > 1000,
    )
    const { ackMs, calledMs } = await served()
    isServed = true
    await flood
    await until(
      async () => acks,
      count => count >= seq,
    )
    expect(acks).toBe(seq)
    expect(seq).toBeGreaterThan(5000)
    expect(ackMs).toBeLessThan(1000)
    expect(calledMs).toBeLessThan(1000)
    socket.destroy()
  })

  it('a device of a vessel that is gone is acknowledged and kept, and calls nobody; one that was revoked is turned away', async () => {
    const gone = await new BenchDevice(credentials('gone-1')).connect(program)
    const goneVessel = await watchedVessel(program, 'gone-1', 'Cone 2')
    await gone.send(27)
    expect((await program.api('DELETE', `/api/v1/vessels/${goneVessel}`)).status).toBeLessThan(300)
    const before = (await program.api('GET', '/api/v1/alarms?standing=true')).body.alarms.length
    for (let n = 0; n < 20; n++) await gone.send(36)
    // Another's call came the same way after them.
    await served()
    expect((await program.api('GET', '/api/v1/alarms?standing=true')).body.alarms).toHaveLength(before)
    gone.end()
    const row = (await program.api('GET', '/api/v1/devices')).body.devices.find(
      ({ name }: any) => name === 'gone-1',
    )
    expect(row.channels[0].latest.value).toBe(36)
    const beside = await openStore({ dir, exclusive: false, threads: false })
    expect(await beside.revokeDevice('gone-1', Date.now())).toBe(true)
    await beside.close()
    const refused = new BenchDevice(credentials('gone-1'))
    await expect(refused.connect(program)).rejects.toThrow(/Not authorized|Bad user|closed/i)
  })

  it(`${CROWD} devices that come back at once are all served within seconds`, async () => {
    const from = performance.now()
    const sockets = await Promise.all(Array.from({ length: CROWD }, (_, n) => raw(`crowd-${n}`)))
    const acked = sockets.map(
      (socket, n) =>
        new Promise(resolve => {
          socket.once('data', resolve)
          socket.write(publishing(`crowd-${n}`, 0, 27))
        }),
    )
    const { calledMs } = await served()
    await Promise.all(acked)
    expect(performance.now() - from).toBeLessThan(15_000)
    expect(calledMs).toBeLessThan(3000)
    for (const socket of sockets) socket.destroy()
  })

  it('a subscriber and a screen that read nothing, and then vanish with 50,000 messages behind them', async () => {
    const subscriber = await raw('flood-1', 'listener')
    const topic = 'brinewatch/v1/flood-1/#'
    subscriber.write(
      mqttPacket.generate({ cmd: 'subscribe', messageId: 1, subscriptions: [{ topic, qos: 1 }] } as never),
    )
    await wait(200)
    subscriber.removeAllListeners('data').pause()
    const screen = new WebSocket(`${program.http.replace('http', 'ws')}/api/v1/live`)
    screen.on('error', () => undefined)
    await new Promise(resolve => screen.once('open', resolve))
    screen.pause()

    const socket = await raw('flood-1')
    let acks = 0
    socket.on('data', (bytes: Buffer) => (acks += bytes.length / 4))
    let sent = 0
    while (sent < 50_000) {
      const some = Buffer.concat(
        Array.from({ length: 500 }, () => publishing('flood-1', sent++, 27, 'second')),
      )
      if (!socket.write(some)) await new Promise(resolve => socket.once('drain', resolve))
    }
    const { ackMs } = await served()
    expect(ackMs).toBeLessThan(1500)
    expect(
      await until(
        async () => acks,
        count => count >= sent,
      ),
    ).toBe(sent)
    subscriber.destroy()
    screen.terminate()
    socket.destroy()
    await served()
    expect(residentMb()).toBeLessThan(RESIDENT_MB)
  })

  it('out of open files: what is there is served on, what comes is turned away, and all is well once there are some', async () => {
    const files = () => readdirSync(`/proc/${program.pid}/fd`).length
    const limit = (count: number) =>
      expect(spawnSync('prlimit', ['--pid', `${program.pid}`, `--nofile=${count}:`]).status).toBe(0)
    const usual = openFilesLimit(readFileSync(`/proc/${program.pid}/limits`, 'utf8'))!
    const before = files()
    limit(before + 12)
    const sockets = Array.from({ length: 60 }, () => {
      const socket = connect({ host: program.mqttHost, port: program.mqttPort })
      socket.on('error', () => undefined)
      return socket
    })
    await until(
      async () => files(),
      count => count >= before + 12,
    )
    // The alarm's way needs no new file: it is told on the live feed and kept in a file that is open.
    expect(await good.send(27)).toBeLessThan(1500)
    limit(usual)
    for (const socket of sockets) socket.destroy()
    await wait(300)
    const { calledMs } = await served()
    expect(calledMs).toBeLessThan(1500)
    expect((await program.api('GET', '/healthz')).status).toBe(200)
  })

  it('ends with every acknowledged reading on disk', async () => {
    good.end()
    expect(await program.stop()).toBe(0)
    const store = await openStore({ dir, threads: false })
    const all = { channel: 'water', offset: 0, fromMs: 0, toMs: Number.MAX_SAFE_INTEGER }
    expect(await store.samples([{ device: 'good-1', ...all }])).toHaveLength(good.acked.size)
    expect(await store.samples([{ device: 'crowd-7', ...all }])).toHaveLength(1)
    await store.close()
    program = await startProgram(dir, ['--backups', 'none'])
  })
})
