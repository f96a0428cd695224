import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import mqtt, { type MqttClient } from 'mqtt'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { makeAuthority, makeCertificate } from '../../broker/tls/make.ts'
import { startReceiver, type Receiver } from '../notify/rig/receiver.ts'
import { type Cluster, postgresPrograms, startCluster, WHY_SKIPPED } from '../store/postgres/cluster.ts'
import { ask } from './ask.ts'
import { type Mosquitto, startMosquitto } from './mosquitto.ts'
import { freshDir, removeDir, startProgram, until, type Program } from './program.ts'

/** Two of the built program, every way between them and to people encrypted. The leader hangs: it is neither dead nor alive. */
describe.skipIf(postgresPrograms() === null)(`a leader that hangs, all encrypted (${WHY_SKIPPED})`, () => {
  const dir = freshDir()
  const authority = join(dir, 'authority.pem')
  const workers = new Map<string, Program>()
  let cluster: Cluster
  let mosquitto: Mosquitto
  let receiver: Receiver
  let device: MqttClient
  let seq = 0

  beforeAll(async () => {
    const nowMs = Date.now()
    const pair = await makeAuthority('made for this test', nowMs)
    writeFileSync(authority, pair.cert)
    cluster = await startCluster(await makeCertificate(pair, ['127.0.0.1'], nowMs))
    mosquitto = await startMosquitto(dir, ['allow_anonymous true', 'max_queued_messages 0'])
    receiver = await startReceiver()
    await Promise.all(['ann', 'bo'].map(async name => workers.set(name, await startWorker(name, authority))))
    device = await mqtt.connectAsync(`mqtt://127.0.0.1:${mosquitto.port}`, { clientId: 'bench-1' })
  })
  afterAll(async () => {
    device.end(true)
    await Promise.all([...workers.values()].map(worker => worker.kill()))
    await receiver.close()
    await mosquitto.stop()
    await cluster.stop()
    removeDir(dir)
  })

  const startWorker = (name: string, trusted: string) =>
    startProgram(join(dir, name), [
      ...['--store-url', `${cluster.url()}?sslmode=verify-full&sslrootcert=${trusted}`],
      ...[
        '--mqtt-url',
        `mqtt://127.0.0.1:${mosquitto.port}`,
        '--worker',
        name,
        '--tls',
        join(dir, name, 'tls'),
      ],
    ])
  async function api(name: string, method: string, path: string, body?: unknown): Promise<any> {
    const ca = readFileSync(join(dir, name, 'tls', 'made-authority.pem'), 'utf8')
    const { text } = await ask(`${workers.get(name)!.http}${path}`, ca, method, body)
    return JSON.parse(text)
  }
  const leader = (others: readonly string[], withinMs: number) =>
    until(
      async () => {
        for (const name of others)
          if ((await api(name, 'GET', '/healthz').catch(() => ({}))).status === 'ok') return name
        return null
      },
      name => name !== null,
      withinMs,
    )
  const water = (v: number) =>
    device.publishAsync(
      'brinewatch/v1/bench-1/measurements',
      JSON.stringify([
        { n: 'boot', vs: 'b1' },
        { n: 'seq', v: seq++ },
        { n: 'water', u: 'Cel', v },
      ]),
      { qos: 1 },
    )

  it('is replaced, calls nobody when it wakes, and its outside watcher and its phones find the next one the same', async () => {
    const first = (await leader(['ann', 'bo'], 10_000))!
    const second = first === 'ann' ? 'bo' : 'ann'
    expect(workers.get(first)!.http).toMatch(/^https:/)
    const inTheClear = `SELECT application_name FROM pg_stat_activity JOIN pg_stat_ssl USING (pid)
      WHERE application_name LIKE 'brinewatch %' AND NOT ssl`
    expect(await cluster.sql(inTheClear)).toEqual([])

    const settings = await api(first, 'GET', '/api/v1/settings')
    for (const name of Object.keys(settings.rules)) settings.rules[name].enabled = name === 'water-too-hot'
    Object.assign(settings.rules['water-too-hot'], { onDelayS: 0, priority: 'low' })
    await api(first, 'PUT', '/api/v1/settings', settings)
    const hook = { kind: 'webhook', label: 'hook', fromPriority: 'low', reminders: false }
    const ada = { name: 'Ada', afterMinutes: 0, hours: null, criticalAnyHour: true }
    const people = [{ ...ada, addresses: [{ ...hook, address: `${receiver.url}/called` }] }]
    await api(first, 'PUT', '/api/v1/notify', { people })
    const beat = { url: `${receiver.url}/beat`, method: 'POST', everyMinutes: 1 }
    await api(first, 'PUT', '/api/v1/notify/heartbeat', { settings: beat })
    const { id } = await api(first, 'POST', '/api/v1/vessels', { name: 'Cone', litres: 1 })
    await api(first, 'PUT', `/api/v1/vessels/${id}/channels`, { water: 'bench-1/water' })
    const { publicKey } = await api(first, 'GET', '/api/v1/notify/push')
    await water(27)
    const arrived = (path: string) => receiver.received.filter(each => each.path === path).length
    await until(
      async () => arrived('/beat'),
      count => count > 0,
    )
    const beats = arrived('/beat')

    process.kill(workers.get(first)!.pid, 'SIGSTOP')
    try {
      // It keeps its connections, and with them the lead and its seats: what it holds is taken from it.
      await water(36)
      expect(await leader([second], 40_000)).toBe(second)
      await until(
        async () => arrived('/called'),
        count => count > 0,
        40_000,
      )
    } finally {
      process.kill(workers.get(first)!.pid, 'SIGCONT')
    }
    const awake = await until(
      () => api(first, 'GET', '/healthz').catch(() => ({})),
      ({ leader }) => leader?.worker === second,
    )
    expect(awake).toMatchObject({ status: 'stands by', leader: { worker: second } })
    await water(36.1)
    await until(
      async () => (await api(second, 'GET', '/api/v1/devices')).devices[0].channels[0].latest.value,
      value => value === 36.1,
    )
    expect(arrived('/called')).toBe(1)
    expect((await api(second, 'GET', '/api/v1/alarms?limit=9')).alarms).toHaveLength(1)
    expect((await api(second, 'GET', '/api/v1/notify/push')).publicKey).toBe(publicKey)
    const later = await until(
      async () => arrived('/beat'),
      count => count > beats,
    )
    expect(later).toBeGreaterThan(beats)
  })

  it('refuses a database that another authority vouches for', async () => {
    const stranger = await makeAuthority('of somebody else', Date.now())
    const wrong = join(dir, 'stranger.pem')
    writeFileSync(wrong, stranger.cert)
    await expect(startWorker('cy', wrong)).rejects.toThrow(/certificate/)
  })
})
