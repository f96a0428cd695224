import { spawn } from 'node:child_process'
import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { createServer } from 'node:net'
import { join } from 'node:path'
import mqtt from 'mqtt'
import { type Cluster, postgresPrograms, startCluster, WHY_SKIPPED } from '../store/postgres/cluster.ts'
import { freshDir, removeDir, startProgram } from '../system/program.ts'
import { openRoom } from './rig/room.ts'
import { cpuSeconds, residentMb, wait } from './rig/process.ts'
import type { Figure, Settings, Subject } from './subject.ts'

const READINGS = 3
const VESSELS = 200
const CLIENTS = 20
/** Messages that one client has under way. */
const UNDER_WAY = 50

/**
 * Intake by workers that share Debian's mosquitto and PostgreSQL, all on this machine: what a message costs each of the three, and what it
 * takes of the disk. Processor time is told rather than speed: there, each has machines of its own.
 */
export const workers: Subject = {
  name: 'workers',
  async measure(settings) {
    if (postgresPrograms() === null) throw new Error(WHY_SKIPPED)
    return [...(await measured(1, settings)), ...(await measured(2, settings))]
  },
}

async function measured(count: number, settings: Settings): Promise<Figure[]> {
  const messages = settings.quick ? 4000 : 60_000
  const dir = freshDir()
  const port = await freePort()
  const config = join(dir, 'mosquitto.conf')
  writeFileSync(
    config,
    `listener ${port} 127.0.0.1\nallow_anonymous true\nuser root\npersistence false\nmax_queued_messages 0\n`,
  )
  const binary = ['/usr/sbin/mosquitto', '/usr/bin/mosquitto'].find(path => existsSync(path))!
  const broker = spawn(binary, ['-c', config], { stdio: 'ignore' })
  const brokerUrl = `mqtt://127.0.0.1:${port}`
  const cluster = await startCluster()
  const flags = ['--store-url', cluster.url(), '--mqtt-url', brokerUrl]
  const bare = await startProgram(join(dir, 'bare'), flags)
  const bareMb = residentMb(bare.pid)
  await bare.stop()
  const room = await openRoom(count === 1 ? VESSELS : 1, settings, flags)
  const others = await Promise.all(
    Array.from({ length: count - 1 }, (_, n) => startProgram(join(dir, `${n}`), flags)),
  )
  const pids = [room.program.pid, ...others.map(({ pid }) => pid)]
  await wait(3000)

  await flood(brokerUrl, cluster, 'warm', messages / 10)
  const cpu = () => ({
    workers: pids.map(cpuSeconds),
    postgres: familyCpuSeconds(cluster.pid),
    broker: cpuSeconds(broker.pid!),
  })
  const wal = async () =>
    Number((await cluster.sql(`SELECT pg_wal_lsn_diff(pg_current_wal_lsn(), '0/0') AS bytes`))[0].bytes)
  const before = { cpu: cpu(), wal: await wal() }
  const seconds = await flood(brokerUrl, cluster, 'long', messages)
  const after = { cpu: cpu(), wal: await wal() }
  const each = (s: number) => (s / messages) * 1e6
  const spent = pids.map((_, n) => after.cpu.workers[n]! - before.cpu.workers[n]!)
  const name = `${count} worker${count === 1 ? '' : 's'}`
  const figures: Figure[] = [
    {
      name: `${name}: kept`,
      value: messages / seconds,
      unit: 'messages/s',
      note: `${messages} of ${READINGS} readings; load, broker and database on the same machine`,
    },
    {
      name: `${name}: processor, all workers`,
      value: each(spent.reduce((sum, s) => sum + s, 0)),
      unit: 'µs/message',
      note: `each: ${spent.map(s => each(s).toFixed(0)).join(', ')}; the first leads and judges`,
    },
    {
      name: `${name}: processor, database`,
      value: each(after.cpu.postgres - before.cpu.postgres),
      unit: 'µs/message',
    },
    {
      name: `${name}: processor, broker`,
      value: each(after.cpu.broker - before.cpu.broker),
      unit: 'µs/message',
    },
    {
      name: `${name}: log of the database`,
      value: (after.wal - before.wal) / messages,
      unit: 'bytes/message',
    },
  ]
  if (count === 1)
    figures.push(...(await sizes(cluster)), {
      name: 'memory of a worker that leads',
      value: residentMb(room.program.pid),
      unit: 'MB',
      note: `${VESSELS} vessels with open batches; ${bareMb.toFixed(0)} MB without any`,
    })
  await room.close()
  await Promise.all(others.map(other => other.stop()))
  broker.kill()
  await cluster.stop()
  removeDir(dir)
  return figures
}

/** Publishes so many packs, and resolves with the seconds until all of them are kept. */
async function flood(url: string, cluster: Cluster, boot: string, messages: number): Promise<number> {
  const clients = await Promise.all(Array.from({ length: CLIENTS }, () => mqtt.connectAsync(url)))
  const keptBefore = await kept(cluster)
  const from = performance.now()
  const each = messages / CLIENTS
  await Promise.all(
    clients.map(async (client, at) => {
      let next = 0
      const send = async (): Promise<void> => {
        while (next < each) {
          const seq = next++
          const device = `load-${(at * 10 + (seq % 10)) % VESSELS}`
          const pack = [
            { n: 'boot', vs: boot },
            { n: 'seq', v: seq },
            { n: 'water', u: 'Cel', v: 27 + ((seq * 7) % 16) / 16 },
            { n: 'air', u: 'l/min', v: 0.51 },
            { n: 'light', u: 'lx', v: 3011 },
          ]
          await client.publishAsync(`brinewatch/v1/${device}/measurements`, JSON.stringify(pack), { qos: 1 })
        }
      }
      await Promise.all(Array.from({ length: UNDER_WAY }, send))
    }),
  )
  while ((await kept(cluster)) < keptBefore + messages) await wait(50)
  await Promise.all(clients.map(client => client.endAsync()))
  return (performance.now() - from) / 1000
}

async function kept(cluster: Cluster): Promise<number> {
  const [row] = await cluster.sql(
    `SELECT (SELECT count(*) FROM brinewatch.pack) +
       (SELECT coalesce(sum(upper(r) - lower(r)), 0) FROM brinewatch.boot, unnest(sealed) AS r) AS packs`,
  )
  return Number(row.packs)
}

async function sizes(cluster: Cluster): Promise<Figure[]> {
  const [row] = await cluster.sql(
    `SELECT (SELECT pg_total_relation_size('brinewatch.pack')) AS pack, (SELECT count(*) FROM brinewatch.pack) AS packs,
       (SELECT sum(length(body)) FROM brinewatch.chunk) AS chunk, (SELECT sum(count) FROM brinewatch.chunk) AS samples,
       (SELECT avg(count) FROM brinewatch.chunk) AS each`,
  )
  const figures: Figure[] = [
    {
      name: 'disk, readings as they came',
      value: Number(row.pack) / Math.max(1, Number(row.packs)),
      unit: 'bytes/message',
      note: `${row.packs} packs, with their indexes and what was moved out since`,
    },
  ]
  if (row.samples !== null)
    figures.push({
      name: 'disk, readings in chunks',
      value: Number(row.chunk) / Number(row.samples),
      unit: 'bytes/reading',
      note: `chunks of ${Number(row.each).toFixed(0)} samples, without the row around each`,
    })
  return figures
}

/** Processor time of a process and of all that it started, ended ones among them, in seconds. */
function familyCpuSeconds(pid: number): number {
  const statOf = (of: string) => {
    const stat = readFileSync(`/proc/${of}/stat`, 'latin1')
    return stat.slice(stat.lastIndexOf(')') + 2).split(' ')
  }
  // Fields 16 and 17 of proc(5), cutime and cstime, in ticks of a hundredth of a second: children that were waited for.
  const ended = statOf(`${pid}`)
  let seconds = cpuSeconds(pid) + (Number(ended[13]) + Number(ended[14])) / 100
  for (const other of readdirSync('/proc')) {
    if (!/^\d+$/.test(other)) continue
    try {
      if (Number(statOf(other)[1]) === pid) seconds += cpuSeconds(Number(other))
    } catch {
      // It has ended meanwhile.
    }
  }
  return seconds
}

function freePort(): Promise<number> {
  return new Promise(resolve => {
    const server = createServer().listen(0, '127.0.0.1', () => {
      const { port } = server.address() as { port: number }
      server.close(() => resolve(port))
    })
  })
}
