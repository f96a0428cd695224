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
  /** Ends the trial early: what was found by then is told, and what was under way is not judged. */
  readonly stop?: AbortSignal
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
/** Whoever waits hears so often that it goes on. */
const TELL_MS = 10_000

/** The person has ended the trial. */
class Stopped extends Error {}

/** How long the device may take to come, when nothing else is said. */
const ARRIVE_MS = 60_000
const STEPS = 5
/** So long a trial may take, all waits added up, for a device that lets each of them pass but the last moment. */
export const MOST_MINUTES = 8

const inS = (ms: number): string => `${Math.max(0, Math.round(ms / 1000))} s`

/** What was under way when the trial was stopped says nothing of the device. */
function forgetUnfinished(moments: Happened, nowMs: number): void {
  if (moments.cameBackAtMs === undefined && moments.configuredAtMs === undefined) delete moments.heldAtMs
  if (moments.reportAtMs !== undefined && nowMs - moments.reportAtMs < REPORT_MS) delete moments.reportAtMs
  if (moments.cutAtMs !== undefined) delete moments.cutAtMs
}

/** Puts a device through its paces, clause by clause. Takes some two and a half minutes, never more than {@link MOST_MINUTES}. */
export async function tryDevice(options: TrialOptions): Promise<Finding[]> {
  const { device, clock, say, stop } = options
  const bench = new CheckBench(device, clock)
  const port = await bench.listen(options.host, options.port)
  say(
    `Point ${device} at ${options.host}:${port}, with any password. Waiting for it, ${inS(options.arriveWithinMs ?? ARRIVE_MS)} at most.`,
  )
  const moments: Happened = {}
  const sleep = async (ms: number): Promise<void> => {
    for (const endMs = clock() + ms; clock() < endMs;) {
      if (stop?.aborted) throw new Stopped()
      await options.sleep(Math.min(STEP_MS, endMs - clock()))
    }
    if (stop?.aborted) throw new Stopped()
  }
  const waitFor = async (what: string, holds: () => boolean, withinMs: number): Promise<boolean> => {
    const fromMs = clock()
    for (let toldMs = fromMs; !holds(); await sleep(STEP_MS)) {
      if (clock() - fromMs > withinMs) return false
      if (clock() - toldMs < TELL_MS) continue
      toldMs = clock()
      say(`  … ${what}: ${inS(clock() - fromMs)}, ${inS(fromMs + withinMs - clock())} more at most.`)
    }
    return true
  }
  const step = (at: number, what: string, mostMs: number) =>
    say(`${at} of ${STEPS}: ${what} At most ${inS(mostMs)}.`)
  let watched = false
  const heardSince = (fromMs: number, is: (heard: Heard) => boolean) =>
    bench.heard.some(heard => heard.atMs >= fromMs && is(heard))
  const isPack = ({ packet }: Heard) => packet.cmd === 'publish' && packet.topic.endsWith('/measurements')
  const isConnect = ({ packet }: Heard) => packet.cmd === 'connect'
  try {
    if (
      await waitFor(
        'waiting for its first pack',
        () => bench.heard.some(isPack),
        options.arriveWithinMs ?? ARRIVE_MS,
      )
    ) {
      step(1, 'it is here. Watching what it sends.', WATCH_MS)
      await sleep(WATCH_MS)
      watched = true

      step(
        2,
        'holding back an acknowledgement. It should connect anew after 20 s, and send the same again.',
        2 * GIVE_UP_MS + RETURN_MS + SETTLE_MS,
      )
      bench.acknowledges = false
      const heldFromMs = clock()
      if (
        await waitFor('waiting for a pack to hold back', () => heardSince(heldFromMs, isPack), GIVE_UP_MS)
      ) {
        moments.heldAtMs = clock()
        if (
          await waitFor(
            'waiting for it to connect anew',
            () => heardSince(moments.heldAtMs!, isConnect),
            GIVE_UP_MS,
          )
        )
          moments.cameBackAtMs = clock()
      }
      bench.acknowledges = true
      if (moments.heldAtMs !== undefined && moments.cameBackAtMs === undefined) bench.cut()
      const backFromMs = moments.cameBackAtMs ?? clock()
      await waitFor('waiting for its next pack', () => heardSince(backFromMs, isPack), RETURN_MS)
      await sleep(SETTLE_MS)

      step(3, 'sending a config, and some that must be ignored.', CONFIG_MS + 2 * SETTLE_MS)
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

      step(4, 'asking it to report at once.', 3 * SETTLE_MS + REPORT_MS)
      bench.tell('config', SELDOM)
      await sleep(SETTLE_MS * 2)
      moments.reportAtMs = clock()
      bench.tell('command', { command: 'report' })
      await sleep(REPORT_MS)
      bench.tell('config', TRIAL_CONFIG)
      await sleep(SETTLE_MS)

      step(5, 'ending the connection, and refusing it three times.', RETURN_MS + WATCH_MS / 2 + SETTLE_MS / 2)
      moments.cutAtMs = clock()
      bench.refuses = REFUSED
      bench.cut()
      const isServed = (heard: Heard) => isPack(heard)
      if (
        await waitFor('waiting for it to come back', () => heardSince(moments.cutAtMs!, isServed), RETURN_MS)
      ) {
        moments.servedAtMs = clock()
        await sleep(WATCH_MS / 2)
      }
      bench.tell('config', {})
      await sleep(SETTLE_MS / 2)
    }
  } catch (error) {
    if (!(error instanceof Stopped)) throw error
    // What it sends has not been watched for long enough to say that something is missing.
    if (!watched) return []
    forgetUnfinished(moments, clock())
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
