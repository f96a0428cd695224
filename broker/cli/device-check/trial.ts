import type { Clock } from '../../clock.ts'
import { CheckBench, type Heard } from './bench.ts'
import { judgeConnecting } from './connecting.ts'
import { TRIAL_CONFIG, type Finding } from './finding.ts'
import { judgeTelling, packsOf, statesOf } from './telling.ts'
import { judgeAnswers, type Happened } from './answers.ts'

export interface TrialOptions {
  readonly device: string
  readonly host: string
  readonly port: number
  readonly clock: Clock
  /** Resolves after so much of the clock's time. */
  readonly sleep: (ms: number) => Promise<void>
  /** Told where the bench listens, and what happens as it goes. */
  readonly say: (line: string) => void
  /** How long the device may take to come at first; 60 s when left out. */
  readonly arriveWithinMs?: number
}

const STEP_MS = 100
const WATCH_MS = 20_000
/** README: no PUBACK within 20 s means a new connection; and the wait between attempts goes up to a minute. */
const GIVE_UP_MS = 90_000
const SETTLE_MS = 4000
/** Packs so rarely that one after `report` is because of it. */
const SELDOM = { revision: 2, sampleIntervalS: 2, reportIntervalS: 60, stateIntervalS: 60 }
const CONFIG_MS = 24_000
const REPORT_MS = 6000
const REFUSED = 3
const RETURN_MS = 60_000

/** Puts a device through its paces, clause by clause. Takes some two and a half minutes, never more than eight. */
export async function tryDevice(options: TrialOptions): Promise<Finding[]> {
  const { device, clock, sleep, say } = options
  const bench = new CheckBench(device, clock)
  const port = await bench.listen(options.host, options.port)
  say(`Point ${device} at ${options.host}:${port}, with any password. Waiting for it.`)
  const moments: Happened = {}
  const waitFor = async (holds: () => boolean, withinMs: number): Promise<boolean> => {
    for (const endMs = clock() + withinMs; !holds(); await sleep(STEP_MS)) if (clock() > endMs) return false
    return true
  }
  const heardSince = (fromMs: number, is: (heard: Heard) => boolean) =>
    bench.heard.some(heard => heard.atMs >= fromMs && is(heard))
  const isPack = ({ packet }: Heard) => packet.cmd === 'publish' && packet.topic.endsWith('/measurements')
  const isConnect = ({ packet }: Heard) => packet.cmd === 'connect'
  try {
    if (await waitFor(() => bench.heard.some(isPack), options.arriveWithinMs ?? 60_000)) {
      say('It is here. Watching what it sends.')
      await sleep(WATCH_MS)

      say('Holding back an acknowledgement: it should connect anew, and send the same again.')
      bench.acknowledges = false
      const heldFromMs = clock()
      if (await waitFor(() => heardSince(heldFromMs, isPack), GIVE_UP_MS)) {
        moments.heldAtMs = clock()
        if (await waitFor(() => heardSince(moments.heldAtMs!, isConnect), GIVE_UP_MS))
          moments.cameBackAtMs = clock()
      }
      bench.acknowledges = true
      if (moments.heldAtMs !== undefined && moments.cameBackAtMs === undefined) bench.cut()
      await waitFor(() => heardSince(moments.cameBackAtMs ?? clock(), isPack), RETURN_MS)
      await sleep(SETTLE_MS)

      say('Sending a config, and some that must be ignored.')
      bench.tell('config', TRIAL_CONFIG)
      moments.configuredAtMs = clock()
      await sleep(CONFIG_MS)
      moments.nonsenseAtMs = clock()
      bench.tell('config', '{"revision":', false)
      bench.tell('config', { revision: 99, sampleIntervalS: 0 }, false)
      bench.tell('alarm', '[1', false)
      bench.tell('command', { command: 'dance' })
      await sleep(SETTLE_MS * 2)
      moments.nonsenseOverMs = clock()

      say('Asking it to report at once.')
      bench.tell('config', SELDOM)
      await sleep(SETTLE_MS * 2)
      moments.reportAtMs = clock()
      bench.tell('command', { command: 'report' })
      await sleep(REPORT_MS)
      bench.tell('config', TRIAL_CONFIG)
      await sleep(SETTLE_MS)

      say('Ending the connection, and refusing it three times.')
      moments.cutAtMs = clock()
      bench.refuses = REFUSED
      bench.cut()
      const isServed = (heard: Heard) => isPack(heard)
      if (await waitFor(() => heardSince(moments.cutAtMs!, isServed), RETURN_MS)) {
        moments.servedAtMs = clock()
        await sleep(WATCH_MS / 2)
      }
      bench.tell('config', {})
      await sleep(SETTLE_MS / 2)
    }
  } finally {
    await bench.close()
  }
  const { heard } = bench
  return [
    ...judgeConnecting(device, heard),
    ...(heard.some(isConnect)
      ? [
          ...judgeTelling(device, heard),
          ...judgeAnswers(heard, packsOf(device, heard), statesOf(device, heard), moments),
        ]
      : []),
  ]
}
