// A broker that is not one: serves the built dashboard and an invented room, for looking at screens.
// Run: tsx test/dashboard/fake/server.ts DIST [--port N] [--vessels N] [--hz N] [--alarms N] [--aside] [--new-device] [--sign-in]
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http'
import { readFile } from 'node:fs/promises'
import { extname, join } from 'node:path'
import { WebSocketServer, type WebSocket } from 'ws'
import type { BatchEvent } from '../../../broker/web/api/events.ts'
import type { ChangeNotify } from '../../../broker/web/api/notify.ts'
import type { Batch } from '../../../broker/web/api/batches.ts'
import type { Vessel } from '../../../broker/web/api/vessels.ts'
import * as hatch from './hatch.ts'
import * as invent from './invent.ts'
import * as people from './people.ts'

const flag = (name: string): string | undefined => {
  const at = process.argv.indexOf(`--${name}`)
  return at < 0 ? undefined : (process.argv[at + 1] ?? '')
}
const has = (name: string): boolean => process.argv.includes(`--${name}`)
const dist = process.argv[2] ?? 'dist/dashboard'
const hz = Number(flag('hz') ?? 1)
const nowMs = (): number => Date.now()

const room = {
  vessels: invent.vessels(Number(flag('vessels') ?? 6), nowMs()),
  alarms: [
    ...invent.alarms(nowMs()).slice(0, Number(flag('alarms') ?? 3)),
    ...(has('aside') ? invent.setAside(nowMs()) : []),
  ],
  settings: invent.settings(),
  notify: people.notify(),
  signedIn: !has('sign-in'),
}
const devices = invent.devices(room.vessels, nowMs())
if (has('new-device')) devices.push(invent.newDevice(nowMs()))
const sockets = new Set<WebSocket>()
let cursor = 0

const broadcast = (changes: unknown[]): void => {
  cursor++
  const text = JSON.stringify({ type: 'changes', cursor: String(cursor), nowMs: nowMs(), changes })
  for (const socket of sockets) socket.send(text)
}
const problem = (response: ServerResponse, status: number, title: string, errors?: unknown): void => {
  response.writeHead(status, { 'content-type': 'application/problem+json' })
  response.end(JSON.stringify({ type: 'about:blank', title, status, errors }))
}
const json = (response: ServerResponse, body: unknown, status = 200): void => {
  response.writeHead(status, { 'content-type': 'application/json' })
  response.end(JSON.stringify(body))
}

const TYPES: Record<string, string> = {
  '.html': 'text/html',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.svg': 'image/svg+xml',
}

function history(vessel: Vessel, fromMs: number, toMs: number, points: number) {
  const column = (base: number, swing: number, startMs: number) => {
    const columns = { t: [] as number[], min: [] as number[], max: [] as number[], mean: [] as number[] }
    const step = Math.max(1000, (toMs - fromMs) / points)
    const gap = [nowMs() - 5.5 * invent.HOUR_MS, nowMs() - 4.6 * invent.HOUR_MS] as const
    for (let t = Math.max(fromMs, startMs); t < Math.min(toMs, nowMs()); t += step) {
      if (t > gap[0] && t < gap[1]) continue
      const h = (t - startMs) / invent.HOUR_MS
      const mean =
        base +
        swing * Math.sin(h / 1.7) * 0.5 -
        base * 0.12 * Math.exp(-h / 1.2) +
        swing * 0.2 * Math.sin(t / 91000)
      columns.t.push(Math.round(t))
      columns.mean.push(mean)
      columns.min.push(mean - swing * 0.3)
      columns.max.push(mean + swing * 0.3)
    }
    return columns
  }
  const startMs = vessel.batch ? Date.parse(vessel.batch.startedAt) : fromMs
  const latest = vessel.latest
  return {
    from: invent.iso(fromMs),
    to: invent.iso(toMs),
    channels: {
      water: column(latest.waterC?.value ?? 20, 0.5, startMs),
      air: column(latest.airLpm?.value ?? 0, 0.1, startMs),
      light: column(latest.lightLx?.value ?? 0, 120, startMs),
    },
  }
}

const server = createServer((request, response) => void answer(request, response))

async function answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
  const url = new URL(request.url ?? '/', 'http://localhost')
  const path = url.pathname
  if (!path.startsWith('/api/v1/')) {
    const name = extname(path) === '' ? 'index.html' : path
    try {
      const body = await readFile(join(dist, name))
      response.writeHead(200, {
        'content-type': TYPES[extname(name)] ?? 'application/octet-stream',
        'content-security-policy':
          "default-src 'self'; style-src 'self'; script-src 'self'; connect-src 'self' ws:",
      })
      response.end(body)
    } catch {
      problem(response, 404, 'Not found')
    }
    return
  }
  let text = ''
  for await (const chunk of request) text += String(chunk)
  const body = (text === '' ? {} : JSON.parse(text)) as Record<string, unknown>
  const [, , , resource, id, action] = path.split('/')
  if (resource === 'session') {
    if (request.method === 'POST') {
      if (body['password'] !== 'shrimp') return problem(response, 401, 'Wrong password')
      room.signedIn = true
      return json(response, {})
    }
    if (request.method === 'DELETE') room.signedIn = false
    return room.signedIn
      ? json(response, { signInNeeded: true, name: null, role: 'owner' })
      : problem(response, 401, 'Sign in')
  }
  if (!room.signedIn) return problem(response, 401, 'Sign in')
  const vessel = room.vessels.find(each => each.id === id)
  if (resource === 'vessels' && action === 'readings' && vessel) {
    const from = Date.parse(url.searchParams.get('from') ?? '')
    const to = Date.parse(url.searchParams.get('to') ?? '')
    return json(response, history(vessel, from, to, Number(url.searchParams.get('points'))))
  }
  if (resource === 'vessels' && action === 'channels' && vessel) {
    const next = { ...vessel, channels: { ...vessel.channels, ...(body as Partial<Vessel['channels']>) } }
    replace(next)
    for (const device of devices) {
      for (const channel of device.channels)
        for (const [role, ref] of Object.entries(body))
          if (ref === `${device.name}/${channel.name}`)
            channel.assignedTo = { vesselId: vessel.id, role: role as 'water' }
      broadcast([{ kind: 'device', device }])
    }
    return json(response, next)
  }
  if (resource === 'vessels' && request.method === 'POST') {
    const made = {
      ...invent.vessels(6, nowMs())[5],
      id: `v${room.vessels.length + 1}`,
      name: String(body['name']),
      litres: Number(body['litres']),
      channels: { water: null, room: null, air: null, light: null, level: null },
      latest: { waterC: null, roomC: null, airLpm: null, lightLx: null, levelShare: null },
    } as Vessel
    replace(made)
    return json(response, made, 201)
  }
  const owner = resource === 'batches' ? room.vessels.find(each => each.batch?.id === id) : undefined
  if (owner && action === 'course') return json(response, hatch.course(owner, nowMs(), 240))
  if (owner && action === 'events') {
    const log = logOf(owner)
    if (request.method === 'GET') return json(response, { events: log })
    const eventId = path.split('/')[6]
    if (eventId !== undefined) {
      const at = log.findIndex(each => each.id === eventId)
      const entry = log[at]
      if (!entry) return problem(response, 404, 'No such entry')
      const back = { ...entry, withdrawnAt: invent.iso(nowMs()) }
      log[at] = back
      broadcast([{ kind: 'batch-event', vesselId: owner.id, event: back }])
      return json(response, back)
    }
    const at = invent.iso(nowMs())
    const kept = {
      at,
      ...body,
      id: `e${cursor}x`,
      batchId: id,
      recordedAt: at,
      by: 'the screen',
      withdrawnAt: null,
    }
    log.push(kept as unknown as BatchEvent)
    broadcast([{ kind: 'batch-event', vesselId: owner.id, event: kept }])
    return json(response, kept, 201)
  }
  if (owner && request.method === 'PATCH') {
    const goal = body['goal'] as Batch['goal']
    const hours = { smallest: 21, balanced: 23, most: 24.5 }[goal]
    const { batch } = owner
    if (!batch) return problem(response, 404, 'No such batch')
    const forecast = { ...invent.forecast(Date.parse(batch.startedAt), nowMs(), hours), goal }
    replace({ ...owner, batch: { ...batch, goal }, forecast })
    return json(response, { ...batch, goal })
  }
  if (resource === 'counts') {
    const { samples } = body as { samples: { nauplii: number; sampleMl: number }[] }
    const nauplii = samples.reduce((sum, each) => sum + each.nauplii, 0)
    return json(response, {
      words: `${nauplii} counted in ${samples.length} sample(s). Fewer than 100 counted is worse than ±20 %: count on.`,
    })
  }
  if (resource === 'lots') return json(response, { lots: hatch.lots(nowMs()) })
  if (resource === 'batches' && request.method === 'GET' && id === undefined)
    return json(response, { batches: [] })
  if (resource === 'batches' && action === 'end') {
    if (!owner) return problem(response, 404, 'No such batch')
    replace({ ...owner, batch: null, forecast: null })
    return json(response, owner.batch)
  }
  if (resource === 'batches' && request.method === 'POST') {
    const home = room.vessels.find(each => each.id === body['vesselId'])
    if (!home) return problem(response, 404, 'No such vessel')
    if (Number(body['salinityGpl']) > 85)
      return problem(response, 400, 'Bad input', [
        { field: 'salinityGpl', message: 'Above 85 g/L cysts cannot take up water.' },
      ])
    const startMs = typeof body['startedAt'] === 'string' ? Date.parse(body['startedAt']) : nowMs()
    const batch = {
      id: `b${cursor}`,
      vesselId: home.id,
      startedAt: invent.iso(startMs),
      endedAt: null,
      litres: Number(body['litres']),
      cystsG: Number(body['cystsG']),
      salinityGpl: Number(body['salinityGpl']),
      lot: null,
      goal: 'balanced' as const,
      note: null,
    }
    replace({ ...home, batch, forecast: invent.forecast(startMs, nowMs(), 24) })
    return json(response, batch, 201)
  }
  if (resource === 'alarms' && action === 'acknowledge') {
    const alarm = room.alarms.find(each => each.id === id)
    if (!alarm) return problem(response, 404, 'No such alarm')
    const next = {
      ...alarm,
      state: 'acknowledged' as const,
      acknowledgedAt: invent.iso(nowMs()),
      acknowledgedBy: 'the console',
    }
    room.alarms = room.alarms.map(each => (each.id === id ? next : each))
    broadcast([{ kind: 'alarm', alarm: next }])
    return json(response, next)
  }
  if (resource === 'notify') return calling(request.method ?? 'GET', id, body, response)
  if (resource === 'push') return json(response, { phones: [], lost: [], publicKey: '' })
  if (resource === 'reminders') return json(response, { reminders: [] })
  if (resource === 'alarms') return json(response, { alarms: room.alarms })
  if (resource === 'settings' && id === 'usual') return json(response, invent.settings())
  if (resource === 'settings') {
    if (request.method === 'PUT') {
      room.settings = { ...room.settings, ...(body as object) }
      broadcast([{ kind: 'settings', settings: room.settings }])
    }
    return json(response, room.settings)
  }
  if (resource === 'quarantine')
    return json(response, {
      quarantine: [
        {
          id: 1,
          at: invent.iso(nowMs() - 60_000),
          device: 'bench-2',
          topic: 'brinewatch/v1/bench-2/measurements',
          reason: 'bad-unit',
          detail: 'record 3: unit Far is not known for water; send Cel',
          bytes: 61,
          payloadBase64: Buffer.from('[{"n":"water","u":"Far","v":81}]').toString('base64'),
        },
      ],
    })
  problem(response, 404, 'No such resource')
}

/** Who is called: kept as it is sent, and every test message arrives but those to an address that says it should not. */
function calling(
  method: string,
  part: string | undefined,
  body: Record<string, unknown>,
  response: ServerResponse,
): void {
  if (part === 'outbox') return json(response, { deliveries: people.deliveries(nowMs()) })
  if (part === 'test') {
    const to = room.notify.people
      .flatMap(({ addresses }) => addresses)
      .find(({ id }) => id === body['addressId'])
    if (!to) return problem(response, 404, 'No such address')
    const arrived = !(to.address ?? '').includes('broken')
    return json(response, { arrived, words: arrived ? 'It was taken over.' : 'The other side refused it.' })
  }
  if (method === 'PUT') room.notify = people.notifyIn(room.notify, body as unknown as ChangeNotify)
  json(response, room.notify)
}

const logs = new Map<string, BatchEvent[]>()
function logOf(vessel: Vessel): BatchEvent[] {
  const key = vessel.batch?.id ?? ''
  const log = logs.get(key) ?? (vessel.id === 'v1' ? hatch.seen(vessel, nowMs()) : [])
  logs.set(key, log)
  return log
}

function replace(vessel: Vessel): void {
  const at = room.vessels.findIndex(each => each.id === vessel.id)
  if (at < 0) room.vessels.push(vessel)
  else room.vessels[at] = vessel
  broadcast([{ kind: 'vessel', vessel }])
}

new WebSocketServer({ server, path: '/api/v1/live' }).on('connection', socket => {
  if (!room.signedIn) return socket.close()
  sockets.add(socket)
  socket.on('close', () => sockets.delete(socket))
  socket.send(
    JSON.stringify({
      type: 'snapshot',
      cursor: String(cursor),
      nowMs: nowMs(),
      clockSpeed: 1,
      vessels: room.vessels,
      devices,
      alarms: room.alarms,
      settings: room.settings,
    }),
  )
})
setInterval(() => {
  const changes = invent.readings(
    room.vessels.filter(vessel => vessel.channels.water),
    nowMs(),
    Math.random,
  )
  for (const change of changes) {
    if (change.kind !== 'reading') continue
    const vessel = room.vessels.find(each => each.id === change.vesselId)
    if (vessel) vessel.latest = { ...vessel.latest, [change.channel]: change.latest }
  }
  broadcast(changes)
}, 1000 / hz)
server.listen(Number(flag('port') ?? 0), '127.0.0.1', () => {
  const address = server.address()
  process.stdout.write(`http://127.0.0.1:${typeof address === 'object' && address ? address.port : ''}\n`)
})
