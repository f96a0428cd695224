import { Line } from './line.ts'
import type { LoadAnswer, LoadOrder, LoadResult } from './load.ts'
import { percentiles } from '../numbers.ts'

/** The load: one process that loads whatever broker it is pointed at in the same way. Started by `load.ts`. */

/** A paced load looks at the clock so often. */
const PACE_MS = 1
/** Packs under way on one line of a paced load; beyond, the broker is behind, and that is counted. */
const PACED_IN_FLIGHT = 64

function answer(message: LoadAnswer): void {
  process.send?.(message)
}

function fail(error: Error): void {
  answer({ kind: 'broken', message: error.message })
  process.exit(1)
}

async function load(order: LoadOrder): Promise<void> {
  const { devices, pace, pack } = order
  const tookMs: number[] = []
  let acked = 0
  let ackedBefore = 0
  let counting = false
  let running = true
  let heldBack = 0

  const lines = devices.map(
    ({ device, password }) =>
      new Line({
        device,
        password,
        boot: order.boot,
        kind: pack,
        inFlight: 'inFlight' in pace ? pace.inFlight : PACED_IN_FLIGHT,
        acked(line, took) {
          acked++
          if (counting) tookMs.push(took)
          if (running && 'inFlight' in pace) line.send()
        },
        broken: fail,
      }),
  )
  await Promise.all(lines.map(line => line.open(order.host, order.port)))

  let timer: NodeJS.Timeout | undefined
  if ('inFlight' in pace) for (const line of lines) for (let i = 0; i < pace.inFlight; i++) line.send()
  else {
    const startedAt = performance.now()
    let sent = 0
    timer = setInterval(() => {
      const due = ((performance.now() - startedAt) / 1000) * pace.packsPerSecond
      for (; sent < due; sent++) if (!lines[sent % lines.length]!.send()) heldBack++
    }, PACE_MS)
  }

  await wait(order.warmUpS * 1000)
  ackedBefore = acked
  counting = true
  const cpu = process.cpuUsage()
  const from = performance.now()
  answer({ kind: 'warm' })
  await Promise.race([wait(order.seconds * 1000), stopped])
  const seconds = (performance.now() - from) / 1000
  const used = process.cpuUsage(cpu)
  const counted = acked - ackedBefore
  counting = false
  running = false
  clearInterval(timer)
  for (let i = 0; i < 100 && lines.some(line => !line.idle); i++) await wait(50)

  const result: LoadResult = {
    packsPerSecond: counted / seconds,
    seconds,
    ackedInAll: acked,
    heldBack,
    ackMs: percentiles(tookMs),
    coresUsed: (used.user + used.system) / 1e6 / seconds,
  }
  answer({ kind: 'done', result })
  for (const line of lines) line.close()
  process.disconnect()
}

const wait = (ms: number) => new Promise<void>(resolve => setTimeout(resolve, ms))
let stop: () => void
const stopped = new Promise<void>(resolve => (stop = resolve))
process.on('message', (message: LoadOrder | 'stop') => {
  if (message === 'stop') stop()
  else load(message).catch(fail)
})
// Whoever started this is gone.
process.on('disconnect', () => process.exit(0))
