import {
  closeSync,
  copyFileSync,
  existsSync,
  openSync,
  readdirSync,
  rmSync,
  writeFileSync,
  writeSync,
} from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { expect, it, onTestFinished } from 'vitest'
import { openStore } from '../../broker/store/sqlite/open.ts'
import { BenchDevice, called, enrol, watchedVessel } from './bench-device.ts'
import { smallDisk, whyNoDisk } from './disks.ts'
import { freshDir, removeDir, startProgram, until, type Program } from './program.ts'

const wait = (ms: number) => new Promise(resolve => setTimeout(resolve, ms))
const health = async (program: Program) => (await program.api('GET', '/healthz')).status

async function kept(dir: string, device: string): Promise<number> {
  const store = await openStore({ dir, threads: false })
  const all = { device, channel: 'water', offset: 0, fromMs: 0, toMs: Number.MAX_SAFE_INTEGER }
  const samples = await store.samples([all])
  await store.close()
  return samples.length
}

/** Writes until there is no room: how much there is changes meanwhile. */
function fill(file: string): void {
  const block = Buffer.alloc(4096)
  const handle = openSync(file, 'w')
  try {
    for (;;) writeSync(handle, block)
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOSPC') throw error
  } finally {
    closeSync(handle)
  }
}

/**
 * Disk full, then freed. Expected: what comes is not acknowledged, and judged all the same; the service says that it is not well;
 * once there is room all goes on by itself, and an alarm that was raised meanwhile is on disk.
 */
it.skipIf(whyNoDisk !== null)(
  `calls while the disk is full, and keeps what it called once there is room${whyNoDisk ? ` (${whyNoDisk})` : ''}`,
  async () => {
    const disk = smallDisk(8)
    onTestFinished(() => disk.dispose())
    const device = new BenchDevice(await enrol(disk.dir, 'bench-1'))
    const other = new BenchDevice(await enrol(disk.dir, 'bench-2'))
    let program = await startProgram(disk.dir, ['--backups', 'none'])
    onTestFinished(() => program.kill())
    const vessel = await watchedVessel(program, 'bench-2', 'Cone 2')
    await device.connect(program)
    await other.connect(program)
    for (let n = 0; n < 20; n++) await device.send(27)

    const ballast = join(disk.dir, 'ballast')
    fill(ballast)
    // Until the log needs room that is not there. Nobody waits for these but the device.
    const sending = Array.from({ length: 12 }, () => device.send(27))
    expect(
      await until(
        () => health(program),
        status => status === 503,
        8000,
      ),
    ).toBe(503)
    // Of another device: one that gets no acknowledgement sends the same again, and nothing new.
    const hot = other.send(36)
    expect(await called(program, vessel)).not.toBeNull()
    const before = device.acked.size

    rmSync(ballast)
    await Promise.all([...sending, hot])
    expect(device.acked.size).toBeGreaterThan(before)
    expect(
      await until(
        () => health(program),
        status => status === 200,
        5000,
      ),
    ).toBe(200)
    // The alarm was raised while it could not be kept. After a kill it stands, and is the same.
    const alarms = async () => (await program.api('GET', '/api/v1/alarms?standing=true')).body.alarms
    const [{ id }] = (await alarms()).filter(({ rule }: any) => rule === 'water-too-hot')
    await wait(2500)
    await program.kill()
    program = await startProgram(disk.dir, ['--backups', 'none'])
    expect((await alarms()).map((alarm: any) => alarm.id)).toContain(id)
    device.end()
    other.end()
    expect(await program.stop()).toBe(0)
    expect(await kept(disk.dir, 'bench-1')).toBe(device.acked.size)
    expect(await kept(disk.dir, 'bench-2')).toBe(1)
  },
)

/**
 * A card that gave errors, which the kernel has made read-only. Expected: no acknowledgement, alarms all the same, and `disk-full`'s
 * words say what it is; a start on it ends with a sentence; what was acknowledged before is there on the disk as it is.
 */
it.skipIf(whyNoDisk !== null)('calls while the disk can only be read, and says so', async () => {
  const disk = smallDisk(8)
  onTestFinished(() => disk.dispose())
  const device = new BenchDevice(await enrol(disk.dir, 'bench-1'))
  const program = await startProgram(disk.dir, ['--backups', 'none'])
  onTestFinished(() => program.kill())
  const vessel = await watchedVessel(program, 'bench-1', 'Cone 1')
  await device.connect(program)
  for (let n = 0; n < 20; n++) await device.send(27)
  disk.breakDown()
  void device.send(36).catch(() => undefined)
  expect(await called(program, vessel)).not.toBeNull()
  expect(
    await until(
      () => health(program),
      status => status === 503,
      5000,
    ),
  ).toBe(503)
  const text = await until(
    async () => JSON.stringify((await program.api('GET', '/api/v1/alarms?standing=true')).body),
    answer => answer.includes('disk-full'),
    15_000,
  )
  expect(text).toContain('disk-full')
  expect(device.acked.size).toBe(20)
  device.end()
  await program.kill()
  await expect(startProgram(disk.dir, ['--backups', 'none'])).rejects.toThrow(/Cannot/)
  const copy = freshDir()
  for (const name of readdirSync(disk.dir).filter(name => name.startsWith('brinewatch.db')))
    copyFileSync(join(disk.dir, name), join(copy, name))
  expect(await kept(copy, 'bench-1')).toBe(20)
  removeDir(copy)
})

/**
 * A slow disk: another process holds the database for three seconds, which to the writing thread is a disk that takes three seconds for
 * a commit. And the death of the writing thread, brought about from outside of the program's code. Expected of both: alarms
 * come at once, nothing is refused or lost, and the thread is there again by itself.
 */
it('calls at once while the disk is slow, and when the thread that writes has died', async () => {
  const dir = freshDir()
  const device = new BenchDevice(await enrol(dir, 'bench-1'))
  const hook = join(dir, 'hook.mjs')
  // The first thread that the program starts is the one that writes.
  writeFileSync(
    hook,
    `let first\nprocess.on('worker', worker => (first ??= worker))\nprocess.on('SIGUSR2', () => void first.terminate())\n`,
  )
  const program = await startProgram(dir, ['--backups', 'none'], ['--import', hook])
  onTestFinished(() => program.kill())
  const vessel = await watchedVessel(program, 'bench-1', 'Cone 1')
  await device.connect(program)
  for (let n = 0; n < 10; n++) await device.send(27)

  const other = new Database(join(dir, 'brinewatch.db'))
  other.exec('BEGIN IMMEDIATE')
  const slow = [device.send(27), device.send(36)]
  const calledAfterMs = await called(program, vessel)
  expect(calledAfterMs).not.toBeNull()
  expect(calledAfterMs!).toBeLessThan(1500)
  expect(device.acked.size).toBe(10)
  await wait(3000)
  other.exec('ROLLBACK')
  other.close()
  expect(Math.min(...(await Promise.all(slow)))).toBeGreaterThan(2500)

  process.kill(program.pid, 'SIGUSR2')
  for (let n = 0; n < 40; n++) await device.send(27)
  expect(await health(program)).toBe(200)
  expect(program.log()).toContain('the thread that writes ended')
  device.end()
  expect(await program.stop()).toBe(0)
  expect(await kept(dir, 'bench-1')).toBe(device.acked.size)
  expect(existsSync(hook)).toBe(true)
  removeDir(dir)
})
