import type { TriedBatch, TryOut } from '../../broker/web/api/try-outs.ts'
import { ALARM_WORD } from './alarm.ts'
import { duration, moment, type Zone } from './time.ts'

type Change = TriedBatch['alarms'][number]

const minutesOf = (byMin: number): string => duration(Math.abs(byMin) * 60_000)
const firstCall = (of: Change['now']): number => Date.parse(of?.calledAt[0] ?? of?.raisedAt ?? '')

/** What becomes of one alarm: `Too hot 03:12, 12 min earlier`. */
export function changeWords(alarm: Change, nowMs: number, zone: Zone): string {
  const { change, rule, now, then, byMin } = alarm
  const at = moment(firstCall(then ?? now), nowMs, zone)
  const what = `${ALARM_WORD[rule]} ${at}`
  switch (change) {
    case 'same':
      return `${what}, as now`
    case 'earlier':
      return `${what}, ${minutesOf(byMin)} earlier`
    case 'later':
      return `${what}, ${minutesOf(byMin)} later`
    case 'new':
      return `${what}, new`
    case 'gone':
      return `${what} would not come`
  }
}

/** What a try-out has found so far, in a sentence; empty while it is at work and has found nothing. */
export function tryOutSentence({ batches, state }: Pick<TryOut, 'batches' | 'state'>): string {
  const tried = batches.filter(({ untried }) => untried === null)
  const atWork = state === 'waiting' || state === 'running'
  if (tried.length === 0) return atWork ? '' : 'No recorded batch could be tried.'
  const on = tried.length === 1 ? 'On this batch' : `On these ${tried.length} batches`
  const alarms = tried.flatMap(batch => batch.alarms)
  if (alarms.length === 0) return `${on} nobody is called, now or then.`
  const of = (change: Change['change']) => alarms.filter(each => each.change === change)
  const most = (those: readonly Change[]) => Math.max(...those.map(({ byMin }) => Math.abs(byMin)))
  const moved = (change: 'earlier' | 'later') => {
    const those = of(change)
    const by = those.length === 1 ? `by ${minutesOf(most(those))}` : `by up to ${minutesOf(most(those))}`
    return those.length === 0
      ? []
      : [`${alarmsOf(those.length)} come${those.length === 1 ? 's' : ''} ${change}, ${by}`]
  }
  const counted = (change: 'new' | 'gone', words: string) =>
    of(change).length === 0
      ? []
      : [`${alarmsOf(of(change).length)} ${of(change).length === 1 ? 'is' : 'are'} ${words}`]
  const parts = [...moved('earlier'), ...moved('later'), ...counted('new', 'new'), ...counted('gone', 'gone')]
  const same = of('same').length
  if (parts.length === 0)
    return `${on} nothing changes: ${same === 1 ? 'the one alarm comes' : `all ${same} alarms come`} as now.`
  const rest = same === 0 ? [] : [`${same} ${same === 1 ? 'comes' : 'come'} as now`]
  return `${on}: ${[...parts, ...rest].join('; ')}.`
}

/** What was typed and is no limit or delay that could be kept: `28.5 is none: write a limit between 68 and 104 °F.` */
export function refusedNumber(
  of: 'limit' | 'delay',
  typed: string,
  least: number,
  most: number,
  unit: string,
): string {
  const what = typed.trim() === '' ? 'Nothing was written' : `${typed.trim().slice(0, 20)} cannot be tried`
  const bound = (value: number) => value.toLocaleString('en')
  return `${what}: write a ${of} between ${bound(least)} and ${bound(most)} ${unit}.`
}

const alarmsOf = (many: number): string => (many === 1 ? 'one alarm' : `${many} alarms`)

/** Why a batch says nothing. */
export const UNTRIED_WORD: Record<NonNullable<TriedBatch['untried']>, string> = {
  'no-readings': 'There are no readings of it: none came, or they are too old to be kept.',
  'not-yet': 'It has only just begun: its readings are still to come.',
  'too-long': 'It lasted more than ten days: end it, or correct its end, to try it out.',
}

function leftWords(leftMs: number | null): string {
  if (leftMs === null) return 'the first time takes the longest'
  if (leftMs < 2000) return 'nearly done'
  // To 5 s: it is reckoned from how fast it went so far.
  return `about ${duration(Math.ceil(leftMs / 5000) * 5000)} left`
}

/** How long it takes yet, ms, when it took so long to come so far; `null` while too little is done to tell. */
export function leftMs(tookMs: number, progress: number): number | null {
  if (tookMs < 1500 || progress < 0.02) return null
  return (tookMs / progress) * (1 - progress)
}

/** How far it is, for a line below the bar. */
export function progressWords(
  { state, progress, total, batches, error }: TryOut,
  leftMs: number | null = null,
): string {
  switch (state) {
    case 'waiting':
      return 'Waiting for another try-out to end…'
    case 'running':
      return total === null
        ? 'Reading what was recorded…'
        : `${batches.length} of ${total} batches, ${Math.floor(progress * 100)} %; ${leftWords(leftMs)}`
    case 'done':
      return total === 0 ? 'There is no batch to try it on yet.' : ''
    case 'cancelled':
      return 'Stopped.'
    case 'failed':
      return error ?? 'It could not be tried out.'
  }
}
