import { pino } from 'pino'
import { expect } from 'vitest'
import type { ZodType } from 'zod'
import { Problem } from '../../broker/web/api/schemas.ts'
import { Guests } from '../../broker/room/handover/guests.ts'
import { LocalDesk } from '../../broker/room/handover/local-desk.ts'
import type { WebOptions } from '../../broker/web/context.ts'
import { DeviceDesk } from '../../broker/devices/desk.ts'
import { createWeb, type Web } from '../../broker/web/web.ts'
import { NOW_MS } from './examples.ts'
import { booksOver } from './fake-books.ts'
import { fakeCalibrating } from './fake-calibrating.ts'
import { fakeCalling, type FakeCalling } from './fake-calling.ts'
import { fakeDeviceSettings } from './fake-device-settings.ts'
import { fakeOthers } from './fake-others.ts'
import { fakePhones, type FakePhones } from './fake-phones.ts'
import { fakeRoom, type FakeRoom } from './fake-room.ts'
import { fakeSooner, type FakeSooner } from './fake-sooner.ts'
import { fakeStore, type FakeStore } from './fake-store.ts'
import { fakeTryOuts, type FakeTryOuts } from './fake-try-outs.ts'
import { fakeWatcher, type FakeWatcher } from './fake-watcher.ts'

export interface Bench {
  readonly web: Web
  readonly room: FakeRoom
  readonly store: FakeStore
  readonly calling: FakeCalling
  readonly phones: FakePhones
  readonly tryOuts: FakeTryOuts
  readonly sooner: FakeSooner
  readonly watcher: FakeWatcher
  /** Every line that was logged. */
  readonly logged: string[]
  /** What devices were told, and which were thrown out. */
  readonly told: string[]
  nowMs: number
  /** A request in memory; `json` is sent as the body. */
  readonly ask: (
    method: string,
    path: string,
    json?: unknown,
    init?: RequestInit & { address?: string },
  ) => Promise<Response>
}

export function bench(options: Partial<WebOptions> = {}): Bench {
  const room = fakeRoom()
  const store = fakeStore()
  const calling = fakeCalling()
  const phones = fakePhones()
  const tryOuts = fakeTryOuts()
  const sooner = fakeSooner()
  const watcher = fakeWatcher()
  const logged: string[] = []
  const told: string[] = []
  const logger = pino({ level: 'trace' }, { write: (line: string) => void logged.push(line) })
  const web = createWeb({
    room,
    books: booksOver(room, store, () => it.nowMs),
    store,
    guests: new Guests({ store, clock: () => it.nowMs }),
    files: new LocalDesk(),
    calling,
    phones,
    tryOuts,
    sooner,
    watcher,
    deviceSettings: fakeDeviceSettings(),
    devices: new DeviceDesk({
      store,
      room,
      clock: () => it.nowMs,
      listChanged: async () => undefined,
      expel: device => void told.push(`${device} expelled`),
      publish: async (topic, payload) => void told.push(`${topic} ${payload}`),
      addresses: () => ['192.168.1.20:8080'],
    }),
    connect: () => ({ mqttPort: 1883, dataDir: 'data' }),
    calibrating: fakeCalibrating(),
    others: fakeOthers(),
    clock: () => it.nowMs,
    clockSpeed: 1,
    dashboardDir: new URL('no-such-folder', import.meta.url).pathname,
    signIn: false,
    logger,
    intakeStats: () => ({
      packs: 3,
      readings: 9,
      repeats: 1,
      quarantined: { 'not-senml': 2 },
      refused: { will: 4 },
    }),
    ...options,
  })
  const it: Bench = {
    web,
    room,
    store,
    calling,
    phones,
    tryOuts,
    sooner,
    watcher,
    logged,
    told,
    nowMs: NOW_MS,
    ask: async (method, path, json, { address = '127.0.0.1', ...init } = {}) => {
      const headers = new Headers(init.headers)
      if (json !== undefined && !headers.has('content-type')) headers.set('content-type', 'application/json')
      const body = json === undefined ? {} : { body: typeof json === 'string' ? json : JSON.stringify(json) }
      const env = { incoming: { socket: { remoteAddress: address } } }
      return web.app.request(`http://localhost${path}`, { ...init, method, headers, ...body }, env)
    },
  }
  return it
}

/** The answer's body, checked against the schema that the API promises for it. */
export async function answer<T>(response: Response, status: number, schema: ZodType<T>): Promise<T> {
  const text = await response.text()
  expect(response.status, text).toBe(status)
  expect(response.headers.get('content-type')).toMatch(/^application\/json\b/)
  return strictly(schema).parse(JSON.parse(text))
}

/** A refusal, checked to be RFC 9457 problem details; resolves to it and the fields that it names. */
export async function refusal(response: Response, status: number): Promise<Problem & { fields: string[] }> {
  const text = await response.text()
  expect(response.status, text).toBe(status)
  expect(response.headers.get('content-type')).toBe('application/problem+json')
  const problem = Problem.strict().parse(JSON.parse(text))
  expect(problem.status).toBe(status)
  return { ...problem, fields: (problem.errors ?? []).map(error => error.field) }
}

/** Not a field more than promised, at the top: what is sent by mistake must not pass. */
function strictly<T>(schema: ZodType<T>): ZodType<T> {
  return 'strict' in schema && typeof schema.strict === 'function' ? schema.strict() : schema
}
