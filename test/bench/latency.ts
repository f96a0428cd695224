import { middle } from './numbers.ts'
import { startLoad, type LoadResult } from './rig/load.ts'
import { PackKind } from './rig/packs.ts'
import { openRoom } from './rig/room.ts'
import type { Subject } from './subject.ts'

const DEVICES = 100
const READINGS_PER_S = 100

/** How long a device waits for its acknowledgement when the room is calm: each reading in a pack, and a commit, of its own. */
export const latency: Subject = {
  name: 'latency',
  async measure(settings) {
    const room = await openRoom(DEVICES, settings)
    const runs: LoadResult[] = []
    for (let repeat = 0; repeat < settings.repeats; repeat++) {
      const { result } = startLoad({
        host: room.program.mqttHost,
        port: room.program.mqttPort,
        devices: room.devices,
        boot: `calm-${repeat}`,
        pack: PackKind.one,
        pace: { packsPerSecond: READINGS_PER_S },
        warmUpS: 1,
        seconds: settings.quick ? 3 : 15,
      })
      runs.push(await result)
      settings.say(
        `  ack p50 ${runs.at(-1)!.ackMs.p50.toFixed(2)} ms, p99 ${runs.at(-1)!.ackMs.p99.toFixed(2)} ms`,
      )
    }
    await room.close()
    const rate = middle(runs.map(run => run.packsPerSecond)).value
    return [
      {
        name: `ack at ${READINGS_PER_S} readings/s, p50`,
        ...middle(runs.map(run => run.ackMs.p50)),
        unit: 'ms',
        bar: { below: 5 },
        note: `${rate.toFixed(0)} acks/s reached`,
      },
      { name: '  p99', ...middle(runs.map(run => run.ackMs.p99)), unit: 'ms' },
    ]
  },
}
