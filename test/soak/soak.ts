import { readFileSync } from 'node:fs'
import { hashSecret } from '../../broker/secrets.ts'
import { seededRandom } from '../../sim/random.ts'
import { WatchKind } from '../../broker/store/contract.ts'
import { openStore } from '../../broker/store/sqlite/open.ts'
import { freshDir, removeDir, startProgram, type Program } from '../system/program.ts'
import { STEP_S, SoakVessel, type Count } from './vessel.ts'

const HOUR = 3_600_000
const BATCH_MS = 30 * HOUR
const LOOK_MS = 20
const CHANNELS = ['water', 'room', 'air', 'light']

export interface SoakOptions {
  readonly hours: number
  readonly vessels: number
  /** Simulated seconds a second. */
  readonly speed: number
  readonly seed: number
  /** `kill -9`s of the service, spread by seed over the first half: memory is looked at in the second. */
  readonly kills: number
}

export interface SoakRow extends Count {
  readonly device: string
  readonly stored: number
}

export interface SoakReport {
  readonly rows: readonly SoakRow[]
  readonly kills: number
  readonly batches: number
  /** Alarms in the store, and those whose raising is in the log of the watch. */
  readonly alarms: { readonly kept: number; readonly logged: number }
  /** Resident memory over the second half, MiB, in the order of time. */
  readonly residentMb: readonly number[]
  /** What must not be, a sentence each. */
  readonly misses: readonly string[]
}

/** Runs simulated vessels through real MQTT into the built program, with faults by seed, and counts. */
export async function soak(options: SoakOptions): Promise<SoakReport> {
  const { hours, speed, seed } = options
  const dir = freshDir()
  const fromMs = Date.UTC(2026, 2, 1)
  const devices = await addDevices(dir, options.vessels, fromMs)
  const startedAt = Date.now()
  const now = () => Math.round(fromMs + (Date.now() - startedAt) * speed)
  const start = (port: number) =>
    startProgram(dir, [
      ...['--mqtt', `127.0.0.1:${port}`, '--backups', 'none'],
      ...['--clock-speed', String(speed), '--clock-start', new Date(now()).toISOString()],
    ])
  let program: Program = await start(0)
  const port = program.mqttPort
  const made: { vessel: SoakVessel; id: string; batch: string; startedMs: number }[] = []
  const pour = async (id: string) =>
    (await ask('POST', '/batches', { vesselId: id, litres: 1, cystsG: 2, salinityGpl: 25, lot: 'Lot A' })).id
  async function ask(method: string, path: string, body: unknown): Promise<any> {
    const answer = await program.api(method, `/api/v1${path}`, body)
    if (answer.status >= 300) throw new Error(`${method} ${path}: ${JSON.stringify(answer.body)}`)
    return answer.body
  }
  for (const [n, device] of devices.entries()) {
    const { id } = await ask('POST', '/vessels', { name: `Cone ${n + 1}`, litres: 1 })
    const channels = Object.fromEntries(CHANNELS.map(role => [role, `${device.device}/${role}`]))
    await ask('PUT', `/vessels/${id}/channels`, channels)
    const vessel = new SoakVessel(device, { seed: seed * 100 + n, now, port })
    made.push({ vessel, id, batch: await pour(id), startedMs: now() })
  }
  const beginMs = now()
  const endMs = beginMs + hours * HOUR
  const random = seededRandom(seed)
  const killAts = Array.from({ length: options.kills }, () => beginMs + random.uniform() * hours * HOUR * 0.5)
  killAts.sort((a, b) => a - b)
  let batches = made.length
  let kills = 0
  const residentMb: number[] = []
  const playing = setInterval(() => made.forEach(({ vessel }) => vessel.play()), LOOK_MS)
  let lookedMs = 0
  while (now() < endMs || killAts.length > 0) {
    await new Promise(resolve => setTimeout(resolve, 50))
    if (killAts[0] !== undefined && now() >= killAts[0]) {
      killAts.shift()
      await program.kill()
      program = await start(port)
      kills++
    }
    for (const one of made) {
      if (now() - one.startedMs < BATCH_MS) continue
      await ask('POST', `/batches/${one.batch}/end`, {})
      one.vessel.pourIn()
      one.batch = await pour(one.id)
      one.startedMs = now()
      batches++
    }
    const secondHalf = now() > beginMs + (hours * HOUR) / 2
    if (secondHalf && killAts.length === 0 && performance.now() - lookedMs > 250) {
      lookedMs = performance.now()
      residentMb.push(residentOf(program.pid))
    }
  }
  clearInterval(playing)
  await Promise.all(made.map(({ vessel }) => vessel.drain(10_000)))
  const exit = await program.stop()

  const store = await openStore({ dir, threads: false })
  const rows: SoakRow[] = []
  for (const { vessel } of made) {
    const { device } = vessel.device
    let stored = 0
    for (const channel of CHANNELS) {
      const source = { device, channel, offset: 0, fromMs: 0, toMs: Number.MAX_SAFE_INTEGER }
      stored += (await store.samples([source])).length
    }
    rows.push({ device, stored, ...vessel.count() })
  }
  const kept = (await store.alarms({ limit: 1_000_000 })).filter(({ vesselId }) => vesselId !== null)
  const log = await store.watchLog({
    fromMs: 0,
    toMs: Number.MAX_SAFE_INTEGER,
    kinds: [WatchKind.alarm],
    limit: 1_000_000,
  })
  await store.close()
  removeDir(dir)
  const logged = new Set(log.filter(({ vesselId }) => vesselId !== null).map(({ alarmId }) => alarmId))
  const alarms = { kept: kept.length, logged: logged.size }
  const misses = [
    ...(exit === 0 ? [] : [`The service ended with ${exit}.`]),
    ...rows.flatMap(row => missesOf(row, hours)),
    ...(alarms.kept === alarms.logged
      ? []
      : [`${alarms.kept} alarms are kept, ${alarms.logged} are in the log.`]),
    ...memoryMisses(residentMb),
  ]
  return { rows, kills, batches, alarms, residentMb, misses }
}

/** A device is off for a moment at a reboot; a run that samples less than nine tenths of its time proves nothing. */
function missesOf({ device, sampled, stored, dropped, lost, unsure }: SoakRow, hours: number): string[] {
  const due = (hours * 3600 * CHANNELS.length) / STEP_S
  if (sampled < 0.9 * due) return [`${device}: ${sampled} readings were sampled, ${due} were due.`]
  const most = sampled - dropped - lost
  if (stored <= most && stored >= most - unsure) return []
  return [
    `${device}: ${sampled} sampled, ${dropped + lost} dropped or lost, so ${most} to be stored; ${stored} are.`,
  ]
}

/** Flat: the middle of the last third is at most a tenth and 10 MiB above that of the third before it. */
function memoryMisses(residentMb: readonly number[]): string[] {
  const third = Math.floor(residentMb.length / 3)
  if (third < 10) return []
  const [before, last] = [residentMb.slice(third, 2 * third), residentMb.slice(2 * third)].map(middle)
  if (last! <= before! * 1.1 + 10) return []
  return [`Memory grew from ${before!.toFixed(0)} to ${last!.toFixed(0)} MiB.`]
}

/** Straight into the store: the command line would take a second for each. */
async function addDevices(dir: string, count: number, createdAtMs: number) {
  const store = await openStore({ dir, threads: false })
  const devices = Array.from({ length: count }, (_, n) => ({
    device: `soak-${n + 1}`,
    password: `secret ${n + 1}`,
  }))
  for (const { device: name, password } of devices)
    await store.addDevice({ name, secretHash: hashSecret(password), createdAtMs })
  await store.close()
  return devices
}

export function middle(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1] ?? NaN
}

function residentOf(pid: number): number {
  return Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1]) / 1024
}
