import { readFileSync } from 'node:fs'
import { startLoad } from './rig/load.ts'
import { PackKind } from './rig/packs.ts'
import { wait } from './rig/process.ts'
import { openRoom } from './rig/room.ts'
import type { Figure, Settings, Subject } from './subject.ts'

const VESSELS = 12
/** Each device tells of its sensors every so many seconds: half as often as a device does that nobody has told otherwise. */
const EVERY_S = 10
const DAY_S = 86_400

/**
 * Bytes that the program had the kernel write to the disk, a day of it reckoned from some minutes: `write_bytes` of proc(5). What the
 * file system writes of its own, and what a memory card writes again inside of itself, is not in it.
 */
export const wear: Subject = {
  name: 'wear',
  async measure(settings) {
    return [
      await written('each pack committed as it comes', [], settings),
      await written('gathered for 10 s (--gather 10)', ['--gather', '10'], settings),
      await written('gathered for 30 s (--gather 30)', ['--gather', '30'], settings),
    ]
  },
}

async function written(name: string, flags: string[], settings: Settings): Promise<Figure> {
  const room = await openRoom(VESSELS, settings, flags)
  const { mqttHost: host, mqttPort: port, pid } = room.program
  const load = startLoad({
    host,
    port,
    devices: room.devices,
    boot: 'long',
    pack: PackKind.three,
    pace: { packsPerSecond: VESSELS / EVERY_S },
    warmUpS: 1,
    seconds: 24 * 3600,
  })
  await load.warm
  const seconds = Math.max(30, settings.minutes * 60)
  const before = bytesWritten(pid)
  await wait(seconds * 1000)
  const bytes = bytesWritten(pid) - before
  load.stop()
  await load.result
  await room.close()
  return {
    name: `${VESSELS} vessels, ${EVERY_S} s apart, ${name}`,
    value: (bytes / seconds) * (DAY_S / 1e6),
    unit: 'MB/day',
    note: `from ${seconds.toFixed(0)} s`,
  }
}

function bytesWritten(pid: number): number {
  return Number(/^write_bytes: (\d+)$/m.exec(readFileSync(`/proc/${pid}/io`, 'utf8'))?.[1])
}
