import { join } from 'node:path'
import Database from 'better-sqlite3'
import { KEPT_UNIT, toKeptUnit } from '../../firmware-protocol/channels.ts'
import { Quality, type PlacedPack } from '../../broker/intake/reading.ts'
import type { Source } from '../../broker/store/contract.ts'
import { DATABASE_FILE } from '../../broker/store/sqlite/database.ts'
import { openStore } from '../../broker/store/sqlite/open.ts'
import { readingsOf } from '../../sim/rig.ts'
import { scenarioNamed } from '../../sim/scenarios/index.ts'
import { runVirtual } from '../../sim/virtual.ts'
import { freshDir, removeDir, startProgram } from '../system/program.ts'
import { middle } from './numbers.ts'
import type { Figure, Settings, Subject } from './subject.ts'

const DEVICE = 'bench-1'
const VESSEL_ID = 'vessel-1'
const ROLES = ['water', 'air', 'light'] as const
const POINTS = 1200
/** Packs given to the store in one turn of the event loop, as under load. */
const PACKS_A_TURN = 500

/** A whole batch, a reading a second from three sensors: what it takes on disk once it has ended, and to draw it. */
export const history: Subject = {
  name: 'history',
  async measure(settings) {
    const dir = freshDir()
    const hours = settings.quick ? 6 : 36
    const toMs = Math.floor(Date.now() / 1000) * 1000
    const fromMs = toMs - hours * 3_600_000
    const size = await fill(dir, fromMs, hours, settings)
    const store = await askStore(dir, fromMs, toMs, settings)
    const http = await askProgram(dir, fromMs, toMs, settings)
    removeDir(dir)
    return [...size, ...store, ...http]
  },
}

/** Keeps the batch through the store's own way of keeping, then packs it as the end of a batch does. */
async function fill(dir: string, fromMs: number, hours: number, { say }: Settings): Promise<Figure[]> {
  say(`  simulating ${hours} h and keeping them`)
  const store = await openStore({ dir })
  await store.keepVessel({ id: VESSEL_ID, name: 'Cone', litres: 1, createdAtMs: fromMs, retiredAtMs: null })
  for (const role of ROLES) {
    const assignment = { id: role, vesselId: VESSEL_ID, role, device: DEVICE, channel: role, offset: 0 }
    await store.keepAssignment({ ...assignment, fromMs, toMs: null })
  }
  const before = pages(dir)
  const packs = simulate(fromMs, hours)
  for (let i = 0; i < packs.length; i += PACKS_A_TURN)
    await Promise.all(packs.slice(i, i + PACKS_A_TURN).map(pack => store.keepPack(pack)))
  await store.seal(DEVICE)
  await store.close()

  const values = packs.length * ROLES.length
  const after = pages(dir)
  const used = (after.used - before.used) / values
  return [
    {
      name: `${hours} h at 1/s, 3 channels: bytes a value after the batch's end`,
      value: used,
      unit: 'bytes',
      bar: { atMost: 3 },
      note: `${values.toLocaleString('en-GB')} values; all pages in use, indexes included`,
    },
    {
      name: '  readings alone',
      value: after.chunks / values,
      unit: 'bytes',
      note: 'chunks and their index, by dbstat',
    },
    {
      name: '  file after its checkpoint',
      value: after.file / 1e6,
      unit: 'MB',
      note: `${((after.file - after.used) / 1e6).toFixed(2)} MB of it free for the next batch`,
    },
  ]
}

function simulate(fromMs: number, hours: number): PlacedPack[] {
  const packs: PlacedPack[] = []
  runVirtual(scenarioNamed('healthy'), {
    seed: 1,
    hours,
    stepS: 1,
    onSample(sample) {
      const atMs = fromMs + (sample.atS - 1) * 1000
      const readings = readingsOf(sample, '')
        .filter(({ name }) => name !== 'room')
        .map(({ name, unit, value }) => {
          const quantity = name as (typeof ROLES)[number]
          const kept = toKeptUnit(quantity, unit, value)!
          return {
            channel: name,
            quantity,
            unit: KEPT_UNIT[quantity],
            value: kept,
            quality: Quality.good,
            atMs,
          }
        })
      packs.push({ device: DEVICE, boot: 'bench', seq: packs.length, receivedAtMs: atMs + 40, readings })
    },
  })
  return packs
}

interface Pages {
  readonly file: number
  readonly used: number
  readonly chunks: number
}

function pages(dir: string): Pages {
  const db = new Database(join(dir, DATABASE_FILE))
  try {
    db.pragma('wal_checkpoint(TRUNCATE)')
    const count = Number(db.pragma('page_count', { simple: true }))
    const free = Number(db.pragma('freelist_count', { simple: true }))
    const bytes = Number(db.pragma('page_size', { simple: true }))
    const chunks = db
      .prepare<[], number>("SELECT coalesce(sum(pgsize), 0) FROM dbstat WHERE name LIKE 'chunk%'")
      .pluck()
      .get()
    return { file: count * bytes, used: (count - free) * bytes, chunks: chunks ?? 0 }
  } finally {
    db.close()
  }
}

async function askStore(dir: string, fromMs: number, toMs: number, settings: Settings): Promise<Figure[]> {
  const store = await openStore({ dir })
  const source = (channel: string): Source[] => [{ device: DEVICE, channel, offset: 0, fromMs, toMs }]
  const channels = Object.fromEntries(ROLES.map(role => [role, source(role)]))
  const tookMs = await times(settings, async () => {
    const columns = await store.history({ channels, fromMs, toMs, points: POINTS })
    for (const role of ROLES) checkColumn(role, columns[role]?.t.length)
  })
  await store.close()
  return [
    { name: `${POINTS} points of it from the store`, ...middle(tookMs), unit: 'ms', bar: { below: 20 } },
  ]
}

async function askProgram(dir: string, fromMs: number, toMs: number, settings: Settings): Promise<Figure[]> {
  const program = await startProgram(dir)
  const path = `/api/v1/vessels/${VESSEL_ID}/readings?from=${fromMs}&to=${toMs}&points=${POINTS}`
  const tookMs = await times(settings, async () => {
    const answer = await fetch(`${program.http}${path}`)
    const { channels } = (await answer.json()) as { channels: Record<string, { t: number[] }> }
    for (const role of ROLES) checkColumn(role, channels[role]?.t.length)
  })
  await program.stop()
  return [
    {
      name: `${POINTS} points of it over HTTP on loopback`,
      ...middle(tookMs),
      unit: 'ms',
      bar: { below: 20 },
      note: 'request sent to answer parsed',
    },
  ]
}

/** A fast wrong answer must not count. */
function checkColumn(role: string, length = 0): void {
  if (length > POINTS / 3 && length <= POINTS) return
  throw new Error(`the history of ${role} has ${length} points, not up to ${POINTS}`)
}

/** After a warm-up, how long each call took, ms. */
async function times({ quick }: Settings, call: () => Promise<void>): Promise<number[]> {
  for (let i = 0; i < 10; i++) await call()
  const tookMs: number[] = []
  for (let i = 0; i < (quick ? 10 : 60); i++) {
    const from = performance.now()
    await call()
    tookMs.push(performance.now() - from)
  }
  return tookMs
}
