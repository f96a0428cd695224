import { once } from 'node:events'
import { WebSocket } from 'ws'
import type { LiveMessage } from '../../broker/web/api/live.ts'
import { percentiles } from './numbers.ts'
import { Prober } from './rig/prober.ts'
import { startLoad } from './rig/load.ts'
import { PackKind } from './rig/packs.ts'
import { wait } from './rig/process.ts'
import { openRoom, type Room } from './rig/room.ts'
import type { Subject } from './subject.ts'

/** Devices that load, each a reading at a time; one further device and vessel is made hot again and again. */
const LOADING = 100
const READINGS_PER_S = 1000
const HOT_C = 30.5
const WELL_C = 27
/** Between probes there is some time, of no even step, so that they do not keep in step with anything. */
const PAUSES_MS = [3, 17, 29, 43, 61]

/** From the publish of a reading above the limit to the alarm at a client of the live feed, while others send. */
export const alarm: Subject = {
  name: 'alarm',
  async measure(settings) {
    const room = await openRoom(LOADING + 1, settings)
    await callAtOnceAndClearAtOnce(room)
    const { mqttHost: host, mqttPort: port, http } = room.program
    const probed = room.devices[LOADING]!
    const prober = await Prober.open(host, port, probed)
    const screen = await Screen.open(http, room.vesselIds[LOADING]!)
    const load = startLoad({
      host,
      port,
      devices: room.devices.slice(0, LOADING),
      boot: 'crowd',
      pack: PackKind.one,
      pace: { packsPerSecond: READINGS_PER_S },
      warmUpS: 2,
      seconds: 3600,
    })
    await load.warm

    const tookMs: number[] = []
    const probes = settings.quick ? 40 : 400
    for (let probe = 0; probe < probes; probe++) {
      await wait(PAUSES_MS[probe % PAUSES_MS.length]!)
      const called = screen.next('unacknowledged')
      const from = performance.now()
      await prober.send(HOT_C)
      const { id, receivedAt } = await called
      tookMs.push(receivedAt - from)
      await room.ask('POST', `/api/v1/alarms/${id}/acknowledge`, {})
      const over = screen.next('normal')
      await prober.send(WELL_C)
      await over
    }
    load.stop()
    const { packsPerSecond, heldBack } = await load.result
    prober.close()
    screen.close()
    await room.close()
    const { p50, p99, max, count } = percentiles(tookMs)
    settings.say(`  ${count} alarms, p50 ${p50.toFixed(1)} ms, p99 ${p99.toFixed(1)} ms`)
    return [
      {
        name: `reading to alarm at ${READINGS_PER_S} readings/s, p99`,
        value: p99,
        unit: 'ms',
        bar: { below: 100 },
        note: `${count} alarms; load ${Math.round(packsPerSecond)} readings/s, ${heldBack} held back`,
      },
      { name: '  p50', value: p50, unit: 'ms' },
      { name: '  greatest', value: max, unit: 'ms' },
    ]
  },
}

/** Without delays, so that one vessel can go in and out of alarm many times a minute. */
async function callAtOnceAndClearAtOnce(room: Room): Promise<void> {
  const settings = await room.ask('GET', '/api/v1/settings')
  settings.rules['water-too-hot'].onDelayS = 0
  settings.rules['water-too-hot'].offDelayS = 0
  await room.ask('PUT', '/api/v1/settings', settings)
}

interface Called {
  readonly id: string
  readonly receivedAt: number
}

/** A client of the live feed that looks at one vessel's heat alarm. */
class Screen {
  readonly #socket: WebSocket
  #waiting: { state: string; resolve: (called: Called) => void; timer: NodeJS.Timeout } | null = null

  static async open(http: string, vesselId: string): Promise<Screen> {
    const socket = new WebSocket(`${http.replace('http', 'ws')}/api/v1/live`)
    const screen = new Screen(socket, vesselId)
    await once(socket, 'open')
    return screen
  }

  private constructor(socket: WebSocket, vesselId: string) {
    this.#socket = socket
    socket.on('message', (data: Buffer) => {
      const receivedAt = performance.now()
      const message = JSON.parse(data.toString('utf8')) as LiveMessage
      if (message.type !== 'changes') return
      for (const change of message.changes) {
        if (change.kind !== 'alarm') continue
        const { id, rule, state, vesselId: of } = change.alarm
        if (of !== vesselId || rule !== 'water-too-hot' || state !== this.#waiting?.state) continue
        const { resolve, timer } = this.#waiting
        clearTimeout(timer)
        this.#waiting = null
        resolve({ id, receivedAt })
      }
    })
  }

  /** The alarm when it next comes in this state. */
  next(state: string): Promise<Called> {
    return new Promise((resolve, reject) => {
      const late = () => reject(new Error(`the alarm did not become ${state} within 10 s`))
      this.#waiting = { state, resolve, timer: setTimeout(late, 10_000) }
    })
  }

  close(): void {
    this.#socket.close()
  }
}
