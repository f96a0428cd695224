import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { setPassword } from '../../broker/password.ts'
import { hashSecret } from '../../broker/secrets.ts'
import type { LiveMessage } from '../../broker/web/api/live.ts'
import type { Identity } from '../../broker/web/context.ts'
import type { LiveSocket } from '../../broker/web/live/client.ts'
import { createLiveFeed } from '../../broker/web/live/feed.ts'
import { anAlarm, NOW_MS } from './examples.ts'
import { fakeRoom } from './fake-room.ts'
import { bench, type Bench } from './harness.ts'
import { LiveReader, refusedUpgrade } from './live-client.ts'

describe('the live feed with sign-in', () => {
  let service: Bench
  let url = ''
  beforeEach(async () => {
    service = bench({ signIn: true })
    const { port } = await service.web.listen('127.0.0.1', 0)
    url = `ws://127.0.0.1:${port}/api/v1/live`
  })
  afterEach(() => service.web.close())

  it('is refused to somebody unknown', async () => {
    for (const headers of [{}, { cookie: 'brinewatch_session=guess' }, { authorization: 'Bearer guess' }]) {
      expect(await refusedUpgrade(url, { headers })).toMatchObject({ status: 401, body: { status: 401 } })
    }
    expect((await refusedUpgrade(`${url}?token=guess`)).status).toBe(401)
  })

  it('is granted to a token, and to a session until it signs out', async () => {
    service.store.tokenRows.push({ name: 'pager', hash: hashSecret('t0ken'), createdAtMs: 0, role: 'owner' })
    await new LiveReader(url, { headers: { authorization: 'Bearer t0ken' } }).snapshot()

    await setPassword(service.store, 'brine and air', NOW_MS)
    const signedIn = await service.ask('POST', '/api/v1/session', { password: 'brine and air' })
    const cookie = signedIn.headers.get('set-cookie')?.split(';')[0] ?? ''
    const reader = new LiveReader(url, { headers: { cookie } })
    await reader.snapshot()
    await service.ask('DELETE', '/api/v1/session', undefined, { headers: { cookie } })
    expect(await reader.closed).toEqual({ code: 1008, reason: 'signed out' })
  })

  it('is refused to a foreign page that has the cookie', async () => {
    service.store.tokenRows.push({ name: 'pager', hash: hashSecret('t0ken'), createdAtMs: 0, role: 'owner' })
    const headers = { authorization: 'Bearer t0ken' }
    expect((await refusedUpgrade(url, { headers, origin: 'http://evil.example' })).status).toBe(403)
  })
})

describe('in its own time, the live feed', () => {
  beforeEach(() => vi.useFakeTimers())
  afterEach(() => vi.useRealTimers())

  /** A socket in memory that answers pings, or does not. */
  function socket(answers: boolean) {
    const listeners = new Map<string, () => void>()
    const log: string[] = []
    const it: LiveSocket & { log: string[] } = {
      log,
      bufferedAmount: 0,
      send: text => void log.push((JSON.parse(text) as { type: string }).type),
      ping() {
        log.push('ping')
        if (answers) listeners.get('pong')?.()
      },
      close: (code: number) => void log.push(`close ${code}`),
      terminate() {
        log.push('terminate')
        listeners.get('close')?.()
      },
      on: (event: string, listener: (...args: never[]) => void) => void listeners.set(event, listener),
    }
    return it
  }

  function feed(mayStay: (identity: Identity) => Promise<boolean>) {
    return createLiveFeed({ room: fakeRoom(), clock: () => NOW_MS, clockSpeed: 1, epoch: 'run', mayStay })
  }
  const nobody = { name: null, session: null, role: 'owner' } as const

  it('sends readings after 50 ms, and an alarm at once, after what came before it', async () => {
    const room = fakeRoom()
    const live = createLiveFeed({
      room,
      clock: () => NOW_MS,
      clockSpeed: 1,
      epoch: 'run',
      mayStay: async () => true,
    })
    const sent: string[] = []
    live.join({ ...socket(true), send: text => void sent.push(text) }, nobody, undefined)
    const kinds = () => {
      const messages = sent.splice(0).map(text => JSON.parse(text) as LiveMessage)
      return messages.map(message =>
        message.type === 'changes' ? message.changes.map(({ kind }) => kind) : 'snapshot',
      )
    }
    expect(kinds()).toEqual(['snapshot'])
    const sample = { atMs: NOW_MS, value: 31, quality: 'good' } as const
    const reading = { kind: 'reading', vesselId: 'v1', role: 'water', sample, late: false } as const
    room.emit(reading)
    await vi.advanceTimersByTimeAsync(49)
    room.emit(reading)
    expect(kinds()).toEqual([])
    await vi.advanceTimersByTimeAsync(1)
    expect(kinds()).toEqual([['reading', 'reading']])
    room.emit(reading, { kind: 'alarm', alarm: anAlarm(), raised: true })
    expect(kinds()).toEqual([['reading', 'alarm']])
    await vi.advanceTimersByTimeAsync(100)
    expect(kinds()).toEqual([])
    live.close()
  })

  it('says every 20 s that it is alive, and gives up who does not answer', async () => {
    const live = feed(async () => true)
    const alive = socket(true)
    const dead = socket(false)
    live.join(alive, nobody, undefined)
    live.join(dead, nobody, undefined)
    await vi.advanceTimersByTimeAsync(20_000)
    expect(alive.log).toEqual(['snapshot', 'changes', 'ping'])
    expect(live.clients()).toBe(2)
    await vi.advanceTimersByTimeAsync(20_000)
    expect(dead.log.at(-1)).toBe('terminate')
    expect(live.clients()).toBe(1)
    await vi.advanceTimersByTimeAsync(200_000)
    expect(alive.log).not.toContain('terminate')
    live.close()
  })

  it('turns away those who may no longer look, but nobody because the store fails', async () => {
    let verdict: () => Promise<boolean> = () => Promise.reject(new Error('no store'))
    const live = feed(() => verdict())
    const client = socket(true)
    live.join(client, { name: null, session: 'hash', role: 'owner' }, undefined)
    await vi.advanceTimersByTimeAsync(20_000)
    expect(client.log).not.toContain('close 1008')
    verdict = async () => false
    await vi.advanceTimersByTimeAsync(20_000)
    expect(client.log.at(-1)).toBe('close 1008')
    live.close()
  })

  it('sends a client that is behind nothing until it has taken all, then one snapshot', async () => {
    const room = fakeRoom()
    const live = createLiveFeed({
      room,
      clock: () => NOW_MS,
      clockSpeed: 1,
      epoch: 'run',
      mayStay: async () => true,
    })
    const client = { ...socket(true), bufferedAmount: 0 }
    live.join(client, nobody, undefined)
    const emit = async () => {
      room.emit({ kind: 'vessel-removed', vesselId: 'v9' })
      await vi.advanceTimersByTimeAsync(50)
    }
    client.bufferedAmount = 1024 * 1024
    await emit()
    expect(client.log).toEqual(['snapshot', 'changes'])
    client.bufferedAmount += 1
    await emit()
    client.bufferedAmount = 1
    await emit()
    await vi.advanceTimersByTimeAsync(1000)
    expect(client.log).toEqual(['snapshot', 'changes'])
    client.bufferedAmount = 0
    await vi.advanceTimersByTimeAsync(250)
    expect(client.log).toEqual(['snapshot', 'changes', 'snapshot'])
    await emit()
    expect(client.log.at(-1)).toBe('changes')
    live.close()
  })
})
