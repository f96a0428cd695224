import { createServer, type AddressInfo, type Server } from 'node:net'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { Heartbeat } from '../../../broker/notify/heartbeat/heartbeat.ts'
import type { HeartbeatSettings } from '../../../broker/notify/heartbeat/settings.ts'
import {
  ailmentsBy,
  portTakesDevices,
  rulesTick,
  storeKeeps,
} from '../../../broker/notify/heartbeat/vital-signs.ts'
import { openTestRoom, type Opened } from '../../room/opened.ts'
import { failureOf, settle } from '../rig/message.ts'
import { startReceiver, withStatus, type Receiver } from '../rig/receiver.ts'

const SECOND = 1000
const MINUTE = 60 * SECOND

/** The service's heart over a real store, and a watcher that is a real HTTP server. */
describe('the heartbeat', () => {
  let receiver: Receiver
  let opened: Opened
  let heartbeat: Heartbeat
  let port: Server
  /** Real time as the heart knows it, and when the rules last looked. */
  let realMs: number
  let rulesStand: boolean
  let keeps: boolean
  let reports: (string | null)[]
  let logged: string

  async function open(): Promise<void> {
    const { store } = opened
    let lookedMs = realMs
    const monotonicMs = () => realMs
    const log = (...what: unknown[]) => (logged += JSON.stringify(what))
    const ask = {
      keepDocument: (key: string, json: string) =>
        keeps ? store.keepDocument(key, json) : Promise.reject(new Error('SQLITE_FULL at /secret/place')),
    }
    heartbeat = await Heartbeat.open({
      store,
      clock: () => opened.nowMs,
      monotonicMs,
      random: () => 0.5,
      logger: { warn: log, error: log },
      signs: [
        storeKeeps(ask, () => opened.nowMs),
        rulesTick(() => (lookedMs = rulesStand ? lookedMs : realMs), monotonicMs),
        portTakesDevices(
          () => (port.listening ? { host: '127.0.0.1', port: (port.address() as AddressInfo).port } : null),
          5,
        ),
      ],
      onWatcher: failure => reports.push(failure),
      patienceMs: 300,
    })
  }
  const settings = (more: Partial<HeartbeatSettings> = {}): HeartbeatSettings => ({
    url: `${receiver.url}/beat/cellar?room=1`,
    method: 'GET',
    everyMinutes: 5,
    tellTrouble: false,
    ...more,
  })
  /** Lets so much time pass, and each look end. */
  async function pass(ms: number): Promise<void> {
    for (const endMs = realMs + ms; realMs < endMs; realMs = Math.min(endMs, realMs + MINUTE / 2))
      await turn()
    await turn()
  }
  async function turn(): Promise<void> {
    heartbeat.tick()
    await settle()
  }
  const paths = () => receiver.received.map(({ path }) => path)
  const listen = (): Promise<Server> =>
    new Promise(resolve => {
      const server = createServer(socket => socket.on('error', () => undefined))
      server.listen(0, '127.0.0.1', () => resolve(server))
    })

  beforeEach(async () => {
    realMs = 0
    rulesStand = false
    keeps = true
    reports = []
    logged = ''
    port = await listen()
    receiver = await startReceiver()
    opened = await openTestRoom()
    await open()
  })
  afterEach(async () => {
    await heartbeat.close()
    await opened.close()
    await receiver.close()
    await new Promise(resolve => port.close(resolve))
  })

  it('calls nobody until an address is set, then at once and every five minutes', async () => {
    await pass(10 * MINUTE)
    expect(paths()).toEqual([])
    await heartbeat.change(settings())
    await pass(SECOND)
    expect(paths()).toEqual(['/beat/cellar?room=1'])
    await pass(15 * MINUTE)
    expect(paths()).toHaveLength(4)
    expect(receiver.received[0]!.body).toBe('')
    expect(heartbeat.now()).toMatchObject({ lastBeatAtMs: opened.nowMs, ailments: [], missed: null })
  })

  it('sends along how it is, when it is to POST', async () => {
    await heartbeat.change(settings({ method: 'POST', everyMinutes: 7 }))
    await pass(SECOND)
    const [{ body, headers }] = receiver.received as [any]
    expect(headers['content-type']).toBe('application/json')
    expect(JSON.parse(body)).toEqual({
      status: 'ok',
      ailments: [],
      everyMinutes: 7,
      at: new Date(opened.nowMs).toISOString(),
    })
  })

  it.each<[string, () => void, () => void | Promise<void>]>([
    ['the store keeps nothing', () => (keeps = false), () => void (keeps = true)],
    ['the rules stand still', () => (rulesStand = true), () => void (rulesStand = false)],
    [
      'devices cannot connect',
      () => void port.close(),
      async () => {
        port = await listen()
      },
    ],
  ])('stops while %s, and starts again', async (_, ail, heal) => {
    await heartbeat.change(settings())
    await pass(SECOND)
    expect(paths()).toHaveLength(1)
    ail()
    await pass(20 * MINUTE)
    expect(paths()).toHaveLength(1)
    expect(heartbeat.now().ailments).toHaveLength(1)
    expect(heartbeat.now().ailments.join()).not.toContain('/secret/place')
    // The watcher is not at fault: that is no alarm of its own.
    expect(reports).toEqual([])
    expect(await heartbeat.tryNow()).toMatchObject({
      arrived: false,
      words: expect.stringMatching(/^No beat was sent, because all is not well here: /),
    })
    expect(paths()).toHaveLength(1)
    await heal()
    await pass(2 * MINUTE)
    expect(paths()).toHaveLength(2)
    expect(heartbeat.now().ailments).toEqual([])
  })

  it('tells of trouble within a minute, if that is wanted, and that it is over', async () => {
    await heartbeat.change(settings({ method: 'POST', tellTrouble: true }))
    await pass(SECOND)
    keeps = false
    await pass(2 * MINUTE)
    expect(paths()).toEqual(['/beat/cellar?room=1', '/beat/cellar/fail?room=1'])
    expect(JSON.parse(receiver.received[1]!.body)).toMatchObject({
      status: 'ailing',
      ailments: ['What is measured cannot be kept: the disk is full, slow or refuses.'],
    })
    await pass(5 * MINUTE)
    expect(paths().slice(2)).toEqual(['/beat/cellar/fail?room=1'])
    keeps = true
    await pass(2 * MINUTE)
    expect(paths().at(-1)).toBe('/beat/cellar?room=1')
  })

  it('tries again later and later; after five minutes it is an alarm, until two beats in a row got through', async () => {
    receiver.answer = withStatus(503)
    await heartbeat.change(settings())
    await pass(SECOND)
    await pass(4 * MINUTE)
    expect(receiver.received.length).toBeGreaterThan(2)
    expect(reports).toEqual([])
    expect(heartbeat.now()).toMatchObject({ missed: 'The receiver answered with status 503', failing: false })
    await pass(7 * MINUTE)
    expect(reports).toEqual(['The receiver answered with status 503'])
    expect(receiver.received.length).toBeLessThan(20)
    // One gets through, and the next does not.
    receiver.answer = (_, response) => {
      receiver.answer = withStatus(503)
      response.end()
    }
    await pass(12 * MINUTE)
    expect(heartbeat.now()).toMatchObject({ missed: 'The receiver answered with status 503', failing: true })
    expect(reports).toHaveLength(1)
    receiver.answer = withStatus(204)
    await pass(16 * MINUTE)
    expect(reports).toEqual(['The receiver answered with status 503', null])
    expect(logged).not.toContain('/beat/cellar')
  })

  it('is an alarm no more when another watcher is set', async () => {
    receiver.answer = withStatus(500)
    await heartbeat.change(settings())
    await pass(12 * MINUTE)
    expect(reports).toHaveLength(1)
    await heartbeat.change(null)
    expect(reports).toEqual([expect.any(String), null])
    const before = receiver.received.length
    await pass(10 * MINUTE)
    expect(receiver.received).toHaveLength(before)
  })

  it('says in words what comes of a try', async () => {
    expect(await heartbeat.tryNow()).toMatchObject({
      arrived: false,
      words: expect.stringMatching(/save one/),
    })
    await heartbeat.change(settings())
    expect(await heartbeat.tryNow()).toMatchObject({ arrived: true })
    receiver.answer = withStatus(404)
    expect(await heartbeat.tryNow()).toEqual({
      arrived: false,
      words: 'The receiver answered with status 404',
    })
  })

  it('is remembered over a restart, and beats at once', async () => {
    await heartbeat.change(settings())
    await heartbeat.close()
    await open()
    await pass(SECOND)
    expect(paths()).toEqual(['/beat/cellar?room=1'])
  })

  it.each([
    [{ url: 'ftp://127.0.0.1/' }, 'settings.url'],
    [{ url: 'http://169.254.169.254/beat' }, 'settings.url'],
    [{ everyMinutes: 0 }, 'settings.everyMinutes'],
    [{ everyMinutes: NaN }, 'settings.everyMinutes'],
  ])('refuses an address or a span that cannot work: %#', async (more, field) => {
    expect(await failureOf(heartbeat.change(settings(more)))).toMatchObject({ kind: 'invalid', field })
    expect(heartbeat.now().settings).toBeNull()
  })
})

describe('the vital signs', () => {
  it('count what hangs as wrong, in time', async () => {
    const from = performance.now()
    const hangs = { check: () => new Promise<null>(() => undefined), otherwise: 'It hangs.' }
    const well = { check: () => null, otherwise: 'Never said.' }
    expect(await ailmentsBy([hangs, well], 50)).toEqual(['It hangs.'])
    expect(performance.now() - from).toBeLessThan(1000)
  })

  it('see a port that takes nobody more', async () => {
    const server = createServer(socket => socket.destroy())
    await new Promise<void>(resolve => server.listen(0, '127.0.0.1', resolve))
    const { port } = server.address() as AddressInfo
    expect(await ailmentsBy([portTakesDevices(() => ({ host: '0.0.0.0', port }))])).toHaveLength(1)
    await new Promise(resolve => server.close(resolve))
    expect(await ailmentsBy([portTakesDevices(() => null)])).toHaveLength(1)
  })
})
