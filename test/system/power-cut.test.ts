import { copyFileSync, readFileSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import mqtt from 'mqtt'
import fc from 'fast-check'
import { expect, it } from 'vitest'
import { encodePack } from '../../firmware-protocol/pack.ts'
import { backupsIn } from '../../broker/store/backups/folder.ts'
import { openStore } from '../../broker/store/sqlite/open.ts'
import { addDevice, freshDir, removeDir, startProgram, until } from './program.ts'

const DATABASE = 'brinewatch.db'
const LOG = `${DATABASE}-wal`
const BASE_MS = Date.UTC(2026, 4, 1)
const ACKED = 60

/**
 * A power cut leaves of the log what was synchronised, and behind it anything: nothing, a part of a page, zeros, garbage, or pages
 * in any order (SQLite, "Atomic Commit in SQLite", section 3.6, says what a disk may do). Expected: every acknowledged reading is there, nothing
 * is there twice, and the service starts as if nothing had been.
 */
it('a power cut that tears the log behind the last acknowledged reading loses none of them', async () => {
  const dir = freshDir()
  const device = addDevice(dir, 'bench-1')
  const program = await startProgram(dir)
  const client = await mqtt.connectAsync(`mqtt://${program.mqttHost}:${program.mqttPort}`, {
    username: device.device,
    password: device.password,
    reconnectPeriod: 0,
  })
  client.on('error', () => undefined)
  const publish = (seq: number) =>
    client.publishAsync(
      'brinewatch/v1/bench-1/measurements',
      Buffer.from(
        encodePack(
          {
            boot: 'b',
            seq,
            measurements: [{ name: 'count', unit: null, value: seq, timeS: (BASE_MS + seq * 1000) / 1000 }],
          },
          'json',
        ),
      ),
      { qos: 1 },
    )
  for (let seq = 0; seq < ACKED; seq++) await publish(seq)
  // All that is in the log now was synchronised, or was written after the acknowledgement: less may survive, never what was acknowledged.
  const synchronised = statSync(join(dir, LOG)).size
  for (let seq = ACKED; seq < 2 * ACKED; seq++) publish(seq).catch(() => undefined)
  await new Promise(resolve => setTimeout(resolve, 60))
  await program.kill()
  client.end(true)
  const log = readFileSync(join(dir, LOG))
  // No checkpoint came in between, or the log would have begun anew and its length would say nothing.
  expect(log.length).toBeGreaterThan(synchronised)

  const torn = freshDir()
  const kept = async (bytes: Buffer): Promise<number[]> => {
    copyFileSync(join(dir, DATABASE), join(torn, DATABASE))
    writeFileSync(join(torn, LOG), bytes)
    const store = await openStore({ dir: torn, clock: () => BASE_MS + 3_600_000, threads: false })
    try {
      const source = {
        device: 'bench-1',
        channel: 'count',
        offset: 0,
        fromMs: 0,
        toMs: Number.MAX_SAFE_INTEGER,
      }
      return (await store.samples([source])).map(({ value }) => value!)
    } finally {
      await store.close()
    }
  }
  const behind = log.subarray(synchronised)
  const damage = fc.oneof(
    fc.integer({ min: 0, max: behind.length }).map(length => behind.subarray(0, length)),
    fc
      .tuple(fc.integer({ min: 0, max: behind.length - 1 }), fc.uint8Array({ minLength: 1, maxLength: 512 }))
      .map(([at, garbage]) => {
        const bytes = Buffer.from(behind)
        bytes.set(garbage.subarray(0, bytes.length - at), at)
        return bytes
      }),
    fc.integer({ min: 0, max: behind.length }).map(at => {
      const bytes = Buffer.from(behind)
      bytes.fill(0, at)
      return bytes
    }),
    // The last page came first.
    fc.constant(Buffer.concat([Buffer.alloc(Math.max(0, behind.length - 4120)), behind.subarray(-4120)])),
  )
  await fc.assert(
    fc.asyncProperty(damage, async tail => {
      const values = await kept(Buffer.concat([log.subarray(0, synchronised), tail]))
      expect(values.slice(0, ACKED)).toEqual(Array.from({ length: ACKED }, (_, seq) => seq))
      expect(new Set(values).size).toBe(values.length)
    }),
    { numRuns: 40 },
  )

  // And the program itself starts on such a log.
  copyFileSync(join(dir, DATABASE), join(torn, DATABASE))
  writeFileSync(join(torn, LOG), log.subarray(0, synchronised + 1000))
  const again = await startProgram(torn)
  expect((await again.api('GET', '/healthz')).status).toBe(200)
  expect(await again.stop()).toBe(0)
  removeDir(dir)
  removeDir(torn)
})

it('starts on a damaged database with the last automatic backup, keeps the damaged file, and calls', async () => {
  const dir = freshDir()
  const file = join(dir, DATABASE)
  // A day passes in a minute and a half: the first backup is due ten minutes after the start.
  const first = await startProgram(dir, ['--clock-speed', '3600'])
  await first.api('POST', '/api/v1/vessels', { name: 'Cone 1', litres: 1 })
  const backups = join(dir, 'backups')
  expect(
    await until(
      async () => backupsIn(backups),
      made => made.length > 0,
    ),
  ).not.toEqual([])
  await first.stop()
  const bytes = readFileSync(file)
  bytes.fill(0x5a, 4096, Math.min(bytes.length, 5 * 4096))
  writeFileSync(file, bytes)
  const second = await startProgram(dir)
  expect(second.log()).toContain('a backup took its place')
  const { body } = await second.api('GET', '/api/v1/vessels')
  expect(JSON.stringify(body)).toContain('Cone 1')
  const alarms = await until(
    () => second.api('GET', '/api/v1/alarms'),
    ({ body }) => JSON.stringify(body).includes('data-restored'),
  )
  expect(JSON.stringify(alarms.body)).toMatch(/damaged at the start/)
  expect(await second.stop()).toBe(0)
  removeDir(dir)
})
