import { join } from 'node:path'
import mqtt, { type MqttClient } from 'mqtt'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { startReceiver, type Receiver } from '../notify/rig/receiver.ts'
import { type Cluster, postgresPrograms, startCluster, WHY_SKIPPED } from '../store/postgres/cluster.ts'
import { type Mosquitto, startMosquitto } from './mosquitto.ts'
import { freshDir, removeDir, startProgram, until, type Program } from './program.ts'

const DEVICES = 10
/** Each device sends so often, ms. */
const EVERY_MS = 60
const HOT = 'bench-0'

/** Three of the built program on one database and one broker, both Debian's. */
describe.skipIf(postgresPrograms() === null)(`several workers (${WHY_SKIPPED})`, () => {
  const dir = freshDir()
  const acked = new Map<string, number>()
  const clients: MqttClient[] = []
  let cluster: Cluster
  let mosquitto: Mosquitto
  let brokerUrl: string
  let receiver: Receiver
  const workers = new Map<string, Program>()
  let waterC = 27
  let sending = true

  beforeAll(async () => {
    mosquitto = await startMosquitto(dir, ['allow_anonymous true', 'max_queued_messages 0'])
    brokerUrl = `mqtt://127.0.0.1:${mosquitto.port}`
    cluster = await startCluster()
    receiver = await startReceiver()
    // Together: whoever is first brings the database up to date, and one of them leads.
    await Promise.all(['ann', 'bo', 'cy'].map(async name => workers.set(name, await startWorker(name))))
  })
  afterAll(async () => {
    for (const client of clients) client.end(true)
    await Promise.all([...workers.values()].map(worker => worker.kill()))
    await receiver.close()
    await mosquitto.stop()
    await cluster.stop()
    removeDir(dir)
  })

  const startWorker = (name: string) =>
    startProgram(join(dir, name), ['--store-url', cluster.url(), '--mqtt-url', brokerUrl, '--worker', name])
  const statusOf = async (worker: Program) =>
    (await worker.api('GET', '/healthz').catch(() => ({ body: { status: 'gone' } }))).body.status
  async function leader(): Promise<string> {
    const found = await until(
      async () => {
        for (const [name, worker] of workers) if ((await statusOf(worker)) === 'ok') return name
        return null
      },
      name => name !== null,
    )
    if (found === null)
      throw new Error([...workers].map(([name, worker]) => `${name}: ${worker.log()}`).join('\n'))
    return found
  }
  async function kill(name: string): Promise<void> {
    const worker = workers.get(name)!
    workers.delete(name)
    await worker.kill()
  }

  /** A device with one pack in flight, which it sends again until it is acknowledged. */
  async function device(name: string): Promise<void> {
    const client = await mqtt.connectAsync(brokerUrl, { clientId: name, protocolVersion: 4 })
    clients.push(client)
    for (let seq = 0; sending; seq++) {
      const v = name === HOT ? waterC : 27
      const pack = [
        { n: 'boot', vs: 'b1' },
        { n: 'seq', v: seq },
        { n: 'water', u: 'Cel', v },
      ]
      const topic = `brinewatch/v1/${name}/measurements`
      await client.publishAsync(topic, JSON.stringify(pack), { qos: 1 })
      // Now and then the acknowledgement is lost on its way, and the same pack comes again.
      if (seq % 7 === 3) await client.publishAsync(topic, JSON.stringify(pack), { qos: 1 })
      acked.set(name, seq)
      await new Promise(resolve => setTimeout(resolve, EVERY_MS))
    }
  }

  it('keeps every acknowledged reading once and calls once, though a follower and the leader are killed', async () => {
    let leads = await leader()
    const api = workers.get(leads)!
    const { body: settings } = await api.api('GET', '/api/v1/settings')
    for (const name of Object.keys(settings.rules)) settings.rules[name].enabled = name === 'water-too-hot'
    Object.assign(settings.rules['water-too-hot'], { onDelayS: 1, priority: 'low' })
    await api.api('PUT', '/api/v1/settings', settings)
    const address = {
      kind: 'webhook',
      label: 'hook',
      fromPriority: 'low',
      reminders: true,
      address: `${receiver.url}/called`,
    }
    const people = [
      { name: 'Ada', afterMinutes: 0, hours: null, criticalAnyHour: true, addresses: [address] },
    ]
    expect((await api.api('PUT', '/api/v1/notify', { people })).status).toBe(200)
    const { body: vessel } = await api.api('POST', '/api/v1/vessels', { name: 'Cone', litres: 1 })
    await api.api('PUT', `/api/v1/vessels/${vessel.id}/channels`, { water: `${HOT}/water` })

    // The others say who leads.
    const [follower] = [...workers.keys()].filter(name => name !== leads)
    const other = workers.get(follower!)!
    expect(await statusOf(other)).toBe('stands by')
    // They look at who does every second or so.
    const refused = await until(
      () => other.api('GET', '/api/v1/vessels'),
      ({ body }) => body.leader !== undefined,
    )
    expect(refused).toMatchObject({ status: 503, type: expect.stringContaining('problem+json') })
    expect(refused.body.leader).toEqual({ worker: leads, address: api.http })
    expect((await other.api('GET', '/')).body).toContain(`${leads} leads`)

    const devices = Array.from({ length: DEVICES }, (_, n) => device(`bench-${n}`))
    await pause(1000)
    await kill(follower!)
    await pause(800)
    // From here on the water is too hot; nobody leads when the second is over after which that is called.
    waterC = 36
    await pause(300)
    await kill(leads)
    const from = Date.now()
    leads = await leader()
    expect(Date.now() - from).toBeLessThan(8000)
    await until(
      async () => receiver.received.length,
      count => count > 0,
    )
    await pause(500)
    sending = false
    await Promise.all(devices)

    // What the broker acknowledged may still be on its way from it.
    const expected = [...acked.values()].reduce((sum, last) => sum + last + 1, 0)
    const kept = () =>
      cluster.sql(
        `SELECT speaker.name, count(*)::int AS packs, count(DISTINCT seq)::int AS numbers, max(seq)::int AS last
         FROM brinewatch.pack JOIN brinewatch.speaker ON speaker.id = pack.speaker GROUP BY 1`,
      )
    const rows = await until(kept, found => found.reduce((sum, row) => sum + row.packs, 0) >= expected)
    for (const { name, packs, numbers, last } of rows)
      expect({ name, packs, numbers, last }).toEqual({
        name,
        packs: acked.get(name)! + 1,
        numbers: acked.get(name)! + 1,
        last: acked.get(name),
      })
    expect(rows).toHaveLength(DEVICES)

    const now = workers.get(leads)!
    const { body } = await now.api('GET', '/api/v1/alarms?standing=true')
    expect(body.alarms.map((each: any) => [each.rule, each.vesselId])).toEqual([['water-too-hot', vessel.id]])
    expect((await now.api('GET', '/api/v1/alarms?limit=9')).body.alarms).toHaveLength(1)
    await pause(1000)
    expect(receiver.received.map(({ key }) => key)).toHaveLength(1)
    const { body: shown } = await now.api('GET', '/api/v1/devices')
    expect(shown.devices.find((each: any) => each.name === HOT).channels[0].latest.value).toBe(36)
    expect(await now.stop()).toBe(0)
    workers.delete(leads)
    expect(workers.size).toBe(0)
  })
})

const pause = (ms: number) => new Promise(resolve => setTimeout(resolve, ms))
