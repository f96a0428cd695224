import { linearRegression, max } from 'simple-statistics'
import { WebSocket } from 'ws'
import { startLoad } from './rig/load.ts'
import { PackKind } from './rig/packs.ts'
import { residentMb, wait } from './rig/process.ts'
import { openRoom } from './rig/room.ts'
import type { Subject } from './subject.ts'

const VESSELS = 200
const SAMPLE_EVERY_MS = 1000
/** A screen draws a vessel's curves anew so often. */
const CHART_EVERY = 10

/** Resident memory of the program with a fish room four times as large as any, and one screen that looks at it. */
export const memory: Subject = {
  name: 'memory',
  async measure(settings) {
    const room = await openRoom(VESSELS, settings)
    const { mqttHost: host, mqttPort: port, http, pid } = room.program
    const screen = new WebSocket(`${http.replace('http', 'ws')}/api/v1/live`)
    screen.on('message', () => undefined)
    const load = startLoad({
      host,
      port,
      devices: room.devices,
      boot: 'long',
      pack: PackKind.three,
      pace: { packsPerSecond: VESSELS },
      warmUpS: 1,
      seconds: 24 * 3600,
    })
    await load.warm

    const samples: [atMinutes: number, mb: number][] = []
    const from = performance.now()
    const minutes = () => (performance.now() - from) / 60_000
    for (let sample = 0; minutes() < settings.minutes; sample++) {
      await wait(SAMPLE_EVERY_MS)
      samples.push([minutes(), residentMb(pid)])
      if (sample % CHART_EVERY === 0)
        await room.ask('GET', `/api/v1/vessels/${room.vesselIds[sample % VESSELS]}/readings?points=1200`)
      if (sample % 60 === 59)
        settings.say(`  ${minutes().toFixed(1)} min: ${samples.at(-1)![1].toFixed(0)} MB`)
    }
    load.stop()
    const { packsPerSecond, heldBack } = await load.result
    screen.close()
    await room.close()
    const lastHalf = samples.slice(Math.floor(samples.length / 2))
    return [
      {
        name: `greatest in ${settings.minutes} min, ${VESSELS} vessels at 1 reading/s`,
        value: max(samples.map(([, mb]) => mb)),
        unit: 'MB',
        bar: { below: 250 },
        note: `${packsPerSecond.toFixed(0)} packs of 3 readings/s, ${heldBack} held back; one live screen`,
      },
      { name: '  at the end', value: samples.at(-1)![1], unit: 'MB' },
      { name: '  growth in the last half', value: linearRegression(lastHalf).m, unit: 'MB/min' },
    ]
  },
}
