import type { DeviceState } from '../../../firmware-protocol/device-state.ts'
import { ABSOLUTE_FROM_S } from '../../../firmware-protocol/senml.ts'
import type { Heard } from './bench.ts'
import { found, TRIAL_CONFIG, unseen, Verdict, type Finding } from './finding.ts'
import type { Told } from './telling.ts'

/** When the bench did what. */
interface Moments {
  heldAtMs: number
  cameBackAtMs: number
  configuredAtMs: number
  nonsenseAtMs: number
  nonsenseOverMs: number
  reportAtMs: number
  cutAtMs: number
  servedAtMs: number
}
export type Happened = Partial<Moments>

interface StateSeen {
  readonly atMs: number
  readonly state: DeviceState
}

/** README: no PUBACK within 20 s; some grace for its timers. */
const GIVES_UP_MS = 30_000
const SOON_MS = 5000
/** Between attempts at least: half of the first second, as chance may have it. */
const LEAST_WAIT_MS = 400

/** How the device answers what is done to it. */
export function judgeAnswers(
  heard: readonly Heard[],
  told: readonly Told[],
  states: readonly StateSeen[],
  moments: Happened,
): Finding[] {
  return [
    ...resending(told, moments),
    ...config(told, states, moments),
    nonsense(heard, moments),
    report(told, states, moments),
    waits(heard, moments),
    outage(told, moments),
  ]
}

function resending(told: readonly Told[], moments: Happened): Finding[] {
  const gives = 'Without an acknowledgement for 20 s it connects anew'
  const again = 'Then it sends the same pack again: boot, seq and samples, with times that have moved on'
  const marks = 'What is sent again is marked as such (MQTT 3.1.1, 3.3.1.1)'
  const { heldAtMs, cameBackAtMs } = moments
  const held = told.find(({ isUnanswered }) => isUnanswered)
  if (heldAtMs === undefined || !held)
    return [
      unseen('resend.connect', gives, 'no pack came to hold back'),
      unseen('resend.same', again, 'the same'),
    ]
  if (cameBackAtMs === undefined)
    return [
      found('resend.connect', gives, 'it did not, in a minute and a half', ''),
      unseen('resend.same', again, 'it did not come back'),
    ]
  const tookMs = cameBackAtMs - heldAtMs
  const findings = [
    found(
      'resend.connect',
      gives,
      tookMs > GIVES_UP_MS ? `it took ${seconds(tookMs)}` : null,
      `after ${seconds(tookMs)}`,
      Verdict.better,
    ),
  ]
  const next = told.find(({ connection, pack }) => connection > held.connection && pack !== null)
  if (!next?.pack || !held.pack) return [...findings, found('resend.same', again, 'nothing came again', '')]
  const same = next.pack.boot === held.pack.boot && next.pack.seq === held.pack.seq
  const values = (each: Told) =>
    JSON.stringify(each.pack!.measurements.map(({ name, value }) => [name, value]))
  const [first, moved] = [held.pack.measurements[0], next.pack.measurements[0]]
  let problem = same ? null : 'the next pack had another number'
  if (same && values(held) !== values(next)) problem = 'the number was the same, and the samples were not'
  else if (
    same &&
    first &&
    moved &&
    first.timeS < ABSOLUTE_FROM_S &&
    moved.timeS > first.timeS - (next.atMs - held.atMs) / 1000 + 2
  )
    problem = 'its times were those of the first sending: encode at the moment of sending'
  return [
    ...findings,
    found('resend.same', again, problem, `number ${held.pack.seq}`),
    found('resend.marked', marks, same && !next.packet.dup ? 'it is not' : null, 'it is', Verdict.better),
  ]
}

/** When each sampling of the busiest channel was, as the service would place it. */
function samplings(told: readonly Told[], fromMs: number, toMs: number): number[] {
  const of = new Map<string, number[]>()
  const seen = new Set<string>()
  for (const { atMs, pack } of told) {
    if (!pack || seen.has(`${pack.boot}/${pack.seq}`)) continue
    if (pack.boot !== null) seen.add(`${pack.boot}/${pack.seq}`)
    for (const { name, timeS } of pack.measurements) {
      if (timeS >= ABSOLUTE_FROM_S) continue
      const takenMs = atMs + timeS * 1000
      if (takenMs >= fromMs && takenMs < toMs) of.set(name, [...(of.get(name) ?? []), takenMs])
    }
  }
  const most = [...of.values()].sort((one, other) => other.length - one.length)[0] ?? []
  return most.sort((one, other) => one - other)
}

const gapsOf = (atMs: readonly number[]): number[] => atMs.slice(1).map((ms, i) => ms - atMs[i]!)

function config(told: readonly Told[], states: readonly StateSeen[], moments: Happened): Finding[] {
  const asks = `A config is applied: samples every ${TRIAL_CONFIG.sampleIntervalS} s`
  const confirms = 'Tells in its state which revision of the config it keeps to'
  const { configuredAtMs, nonsenseAtMs } = moments
  if (configuredAtMs === undefined || nonsenseAtMs === undefined)
    return [
      unseen('config.applied', asks, 'it was not there'),
      unseen('config.confirmed', confirms, 'it was not there'),
    ]
  // What was sampled before it came, and a moment longer, is as it was.
  const gaps = gapsOf(samplings(told, configuredAtMs + 4000, nonsenseAtMs)).sort((one, other) => one - other)
  const middle = gaps[gaps.length >> 1]
  const wantedMs = TRIAL_CONFIG.sampleIntervalS * 1000
  const problem =
    middle === undefined
      ? 'hardly anything came'
      : Math.abs(middle - wantedMs) > wantedMs / 4
        ? `they are ${seconds(middle)} apart`
        : null
  const said = states.find(
    ({ atMs, state }) => atMs >= configuredAtMs && state.configRevision === TRIAL_CONFIG.revision,
  )
  return [
    found('config.applied', asks, problem, `${seconds(middle ?? 0)} apart`),
    found(
      'config.confirmed',
      confirms,
      said ? null : 'it does not',
      `revision ${TRIAL_CONFIG.revision}`,
      Verdict.better,
    ),
  ]
}

function nonsense(heard: readonly Heard[], { nonsenseAtMs, nonsenseOverMs }: Happened): Finding {
  const asks = 'Ignores what it cannot read, and what it does not know, and carries on'
  if (nonsenseAtMs === undefined || nonsenseOverMs === undefined)
    return unseen('ignore', asks, 'it was not there')
  const during = heard.filter(({ atMs }) => atMs >= nonsenseAtMs && atMs < nonsenseOverMs)
  const left = during.some(({ packet }) => packet.cmd === 'end' || packet.cmd === 'disconnect')
  const silent = !during.some(({ packet }) => packet.cmd === 'publish')
  return found('ignore', asks, left ? 'it broke off' : silent ? 'it fell silent' : null, 'it did')
}

function report(told: readonly Told[], states: readonly StateSeen[], { reportAtMs }: Happened): Finding {
  const asks = 'The command "report" makes it measure and send at once'
  if (reportAtMs === undefined) return unseen('command.report', asks, 'it was not there')
  const soon = ({ atMs }: { atMs: number }) => atMs >= reportAtMs && atMs <= reportAtMs + SOON_MS
  const lacks = [...(told.some(soon) ? [] : ['a pack']), ...(states.some(soon) ? [] : ['its state'])]
  return found(
    'command.report',
    asks,
    lacks.length > 0 ? `${lacks.join(' and ')} did not come within 5 s` : null,
    'it did',
    Verdict.better,
  )
}

function waits(heard: readonly Heard[], { cutAtMs, servedAtMs }: Happened): Finding {
  const asks = 'Waits longer and longer between attempts to connect, with some chance in it'
  if (cutAtMs === undefined) return unseen('reconnect.waits', asks, 'it was not there')
  const attempts = heard
    .filter(
      ({ atMs, packet }) => atMs >= cutAtMs && atMs <= (servedAtMs ?? Infinity) && packet.cmd === 'connect',
    )
    .map(({ atMs }) => atMs)
  if (attempts.length < 3)
    return found('reconnect.waits', asks, `it tried ${attempts.length} times in a minute`, '')
  const gaps = gapsOf([cutAtMs, ...attempts])
  const least = Math.min(...gaps)
  let problem = least < LEAST_WAIT_MS ? `it tried again after ${seconds(least)}` : null
  if (gaps.at(-1)! <= gaps[0]!) problem ??= 'its waits do not grow'
  return found('reconnect.waits', asks, problem, gaps.map(seconds).join(', '))
}

function outage(told: readonly Told[], { cutAtMs, servedAtMs }: Happened): Finding {
  const asks = 'What it measured while it was cut off comes afterwards, in its place'
  if (cutAtMs === undefined) return unseen('outbox', asks, 'it was not there')
  if (servedAtMs === undefined) return found('outbox', asks, 'it did not come back', '')
  const longest = Math.max(0, ...gapsOf(samplings(told, cutAtMs - 5000, servedAtMs + 5000)))
  const allowedMs = TRIAL_CONFIG.sampleIntervalS * 3000
  return found(
    'outbox',
    asks,
    longest === 0 || longest > allowedMs ? `${seconds(longest)} are missing` : null,
    `no gap above ${seconds(longest)}`,
  )
}

const seconds = (ms: number): string => `${(ms / 1000).toFixed(1)} s`
