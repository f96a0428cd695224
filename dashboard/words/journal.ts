import type { Journal, JournalEntry, JournalFigures } from '../../broker/web/api/journal.ts'
import { ALARM_WORD } from './alarm.ts'
import { duration, exactly, moment, next, type Zone } from './time.ts'

type Verdict = JournalFigures['perDay']['verdict']

/** One figure as it is read: what it is, how much, what is held for good, and how it stands to that. */
export interface FigureWords {
  readonly title: string
  readonly value: string
  /** What is behind the value, if more can be said. */
  readonly more: string
  /** What is published as good, with its source; empty where nothing is. */
  readonly mark: string
  readonly verdict: Verdict | null
}

export const VERDICT_WORD: Record<Verdict, string> = {
  good: 'good',
  over: 'too much',
  unknown: 'too little to tell',
}

/** Where the marks are from, once for all of them and in small print. */
export const MARKS_SOURCE =
  '¹ From EEMUA 191, a guide for control rooms where people watch alarms day and night and do nothing else: whoever sleeps wants far fewer. ² From ANSI/ISA-18.2. The mark without a number is our own choice.'

/** A number as it is said: no digits that mean nothing. */
function count(value: number): string {
  if (Number.isInteger(value)) return String(value)
  return value < 1 ? value.toFixed(2) : value.toFixed(1)
}

const times = (value: number): string => (value === 1 ? 'once' : value === 2 ? 'twice' : `${value} times`)

/** Every figure of the journal, the load first. */
export function figureWords(
  figures: JournalFigures,
  nameOf: (vesselId: string | null) => string,
  nowMs: number,
  zone: Zone,
): FigureWords[] {
  const { alarms, calls, perDay, busiestTenMinutes: busiest, chattering, stale } = figures
  const named = ({
    rule,
    vesselId,
  }: {
    rule: JournalFigures['mostFrequent'][number]['rule']
    vesselId: string | null
  }) => `${ALARM_WORD[rule]}, ${nameOf(vesselId)}`
  return [
    {
      title: 'Alarms a day',
      value: perDay.value === null ? 'none yet' : count(perDay.value),
      more:
        alarms === 0
          ? 'Nobody was called.'
          : `${manyAlarms(alarms)} in ${overDays(figures.days)}${toldAgain(calls - alarms)}.`,
      mark: `at most ${perDay.mark}, and that for people who do nothing but watch ¹`,
      verdict: perDay.verdict,
    },
    {
      title: 'Most within ten minutes',
      value: count(busiest.value ?? 0),
      more: busiest.from === null ? '' : `From ${moment(Date.parse(busiest.from), nowMs, zone)}.`,
      mark: `fewer than ${busiest.mark + 1}: nobody can take in more ¹`,
      verdict: busiest.verdict,
    },
    answered(figures),
    {
      title: 'Stand now',
      value: count(figures.standing),
      more:
        figures.longestStanding === null
          ? ''
          : `The longest for ${duration(nowMs - Date.parse(figures.longestStanding.since))}.`,
      mark: '',
      verdict: null,
    },
    {
      title: 'Stand for a day and more',
      value: count(stale.value ?? 0),
      more: '',
      mark: 'none: what nobody ends is no alarm any more',
      verdict: stale.verdict,
    },
    {
      title: 'Come and go in a minute',
      value: count(chattering.value ?? 0),
      more: chattering.sources.map(each => `${named(each)}: ${times(each.times)} in a minute.`).join(' '),
      mark: `none: what comes and goes three times in a minute wants a longer delay ²`,
      verdict: chattering.verdict,
    },
    ...priorities(figures),
    {
      title: 'Came most',
      value: figures.mostFrequent[0] ? named(figures.mostFrequent[0]) : 'nothing',
      more: figures.mostFrequent
        .map((each, at) => (at === 0 ? capital(times(each.alarms)) : `${named(each)} ${times(each.alarms)}`))
        .join('; ')
        .replace(/(.)$/, '$1.'),
      mark: '',
      verdict: null,
    },
  ]
}

const capital = (words: string): string => `${words.slice(0, 1).toUpperCase()}${words.slice(1)}`

function answered({
  alarms,
  calls,
  acknowledging: { count, meanS, medianS, never },
}: JournalFigures): FigureWords {
  const nobody =
    never === 0 ? '' : never === 1 ? 'One call was never answered.' : `${never} calls were never answered.`
  const half =
    meanS === null || count < 2
      ? ''
      : `Half of ${count} answers${ofCalls(alarms, calls)} came sooner, half later; all of them together make ${exactly(meanS * 1000)} a call.`
  return {
    title: 'Until somebody answered',
    value: medianS === null ? 'nobody yet' : exactly(medianS * 1000),
    more: [half, nobody].filter(Boolean).join(' '),
    mark: '',
    verdict: null,
  }
}

/** ` (5 calls, 13 told again)`: what the answers were to, where that is more than the alarms. */
const ofCalls = (alarms: number, calls: number): string =>
  calls > alarms ? ` (${alarms} ${alarms === 1 ? 'call' : 'calls'}, ${calls - alarms} told again)` : ''

function priorities({ priorities: { critical, high, low }, alarms }: JournalFigures): FigureWords[] {
  const all = [critical, high, low]
  const verdicts = all.map(({ verdict }) => verdict)
  return [
    {
      title: 'Critical, high, low',
      value: alarms === 0 ? 'none' : percents(all.map(({ value }) => value ?? 0)),
      more: alarms === 0 ? '' : `${all.map(each => each.alarms).join(', ')} alarms.`,
      mark: `about ${percents(all.map(({ mark }) => mark))}: what is loud is to be rare ¹`,
      verdict: verdicts.includes('unknown') ? 'unknown' : verdicts.includes('over') ? 'over' : 'good',
    },
  ]
}

const percents = (shares: readonly number[]): string =>
  `${shares.map(share => Math.round(share * 100)).join(', ')} %`

/** Over what a rate is reckoned, to a tenth of a day: the running day counts as far as it has come. */
const overDays = (days: number): string =>
  days < 1
    ? `${duration(days * 86_400_000)}, reckoned as a day`
    : `${Number(days.toFixed(1))} ${days === 1 ? 'day' : 'days'}`

const manyAlarms = (many: number): string => (many === 1 ? 'One alarm' : `${many} alarms`)
/** One alarm may be told many times: that makes it no further alarm. */
const toldAgain = (again: number): string => (again <= 0 ? '' : `, told again ${times(again)}`)

/** The span in a sentence: how many alarms called, and whether that is much. */
export function loadSentence({ alarms, days, perDay }: JournalFigures): string {
  const span = days >= 1.5 ? `in ${Math.round(days)} days` : `in ${duration(days * 86_400_000)}`
  if (alarms === 0) return `Nobody was called ${span}.`
  const many = manyAlarms(alarms)
  return perDay.verdict === 'over' ? `${many} ${span}: too many for anybody.` : `${many} ${span}.`
}

/** What the list holds besides the alarms that are counted; empty where it holds nothing else. */
export function uncountedWords({ marks }: Pick<Journal, 'marks'>): string {
  const silent = marks.filter(mark => mark.silent).length
  const before = marks.filter(mark => !mark.silent && mark.came === 0).length
  const parts = [
    ...(silent === 0
      ? []
      : [
          `${silent} without a call of ${silent === 1 ? 'its' : 'their'} own, for another one had called or work went on`,
        ]),
    ...(before === 0 ? [] : [`${before} that came earlier`]),
  ]
  return parts.length === 0 ? '' : `Listed too, and not counted: ${parts.join('; ')}.`
}

/** How often one came, where that was more than once: `came 3 times`. */
export const cameWords = (came: number): string => (came < 2 ? '' : `, came ${times(came)}`)

/** It was silent for work on its vessel alone: each harvest makes one, and nobody has to look through them. */
export const isOfWork = ({ alarm, because, steps }: JournalEntry): boolean =>
  alarm.announcedAt === null && because === null && steps.some(({ reason }) => reason === 'suppressed')
export const ofWorkWords = (many: number): string =>
  `${many} without a call, for work that went on (harvest, set-up, calibration)`

type NameOf = (vesselId: string | null) => string

/** Of one without a call of its own: what had called for it, in two or three words. */
export function calledByWords({ alarm, because, came }: JournalEntry, nameOf: NameOf): string {
  if (alarm.announcedAt !== null) return cameWords(came)
  if (because === null || because.calledAt === null) return ', nobody was called'
  const where = because.vesselId === alarm.vesselId ? '' : `, ${nameOf(because.vesselId)},`
  return `, “${ALARM_WORD[because.rule]}”${where} had called`
}

/** Why one is silent that came of another: that one's call is there, and since when. */
function becauseWords({ alarm, because }: JournalEntry, atMs: number, nameOf: NameOf, said: Said): string {
  if (because === null) return 'silent: another alarm told of it'
  const { rule, vesselId, calledAt } = because
  const name = `“${ALARM_WORD[rule]}”${vesselId === alarm.vesselId ? '' : ` of ${nameOf(vesselId)}`}`
  if (calledAt === null) return `silent: it came of ${name}, which called nobody either`
  const calledMs = Date.parse(calledAt)
  if (calledMs > atMs) return `no call of its own: ${name} called ${said(calledMs)}, for this too`
  return rule === 'water-heading-hot' && alarm.rule === 'water-too-hot'
    ? `called ${said(calledMs)} already, as the warning ${name}: that call went on`
    : `no call of its own: ${name} had called ${said(calledMs)}, and that call went on`
}
type Said = (atMs: number) => string

/** An alarm's life as lines, oldest first: each with its moment and what happened. */
export function lifeLines(
  entry: JournalEntry,
  nowMs: number,
  zone: Zone,
  nameOf: NameOf = () => 'another vessel',
): { readonly at: string; readonly words: string; readonly says: string }[] {
  const { alarm, steps, told } = entry
  const said: Said = atMs => moment(atMs, nowMs, zone)
  let hasCalled = false
  /** Since when a call has waited for somebody: after an answer the next call waits anew, as the figures count it. */
  let waitsSinceMs: number | null = null
  let cameAtMs: number | null = null
  let answeredMs: number | null = null
  let isOver = false
  const lines: { atMs: number; words: string; says: string }[] = []
  const say = (atMs: number, words: string, says = '') => lines.push({ atMs, words, says })
  for (const { at, state, reason, calls, by, says, until, why } of steps) {
    const atMs = Date.parse(at)
    cameAtMs ??= atMs
    const who = by === null ? '' : ` by ${by}`
    const end = until === undefined ? '' : ` until ${moment(Date.parse(until), nowMs, zone)}`
    if (calls) {
      const first = !hasCalled && reason !== 'unshelved' && reason !== 'in-service'
      say(atMs, first ? cameFirst(alarm, said) : calledAnew(alarm, reason, who), says)
      hasCalled = true
      waitsSinceMs ??= atMs
    } else if (reason === 'acknowledged') {
      const late = isOver ? ', when it was over' : ''
      say(atMs, `acknowledged${who}${after(waitsSinceMs, atMs)}${late}`)
      answeredMs = atMs
    } else if (reason === 'shelved') say(atMs, `put off${who}${end}`)
    else if (reason === 'out-of-service')
      say(atMs, `taken out of service${who}${end}${why === undefined ? '' : `: ${why}`}`)
    else if (reason === 'unshelved') say(atMs, `brought back${who}: it was over`)
    else if (reason === 'in-service') say(atMs, `returned to service${who}`)
    else if (reason === 'suppression-ended') say(atMs, `watched again after the work${who}`)
    else if (reason === 'consequence') say(atMs, becauseWords(entry, atMs, nameOf, said))
    else if (reason === 'suppressed') say(atMs, 'silent for the work that went on')
    else if (reason === 'reset') say(atMs, `reset${who}`)
    else if (reason === 'batch-ended') say(atMs, 'over with its batch')
    else if (reason === 'not-watched') say(atMs, 'not watched any more')
    else if (state === 'return-to-normal-unacknowledged' || state === 'latched')
      say(atMs, `over${after(cameAtMs, atMs)}; ${unanswered(answeredMs, said)}`)
    else if (alarm.rule === 'water-heading-hot' && reason === 'above-limit')
      say(atMs, 'what it warned of has come: it is too hot')
    else if (alarm.rule === 'water-heading-hot' && reason === 'back-within-limit')
      say(atMs, 'below the limit again')
    else if (state === 'normal' || state === 'latched-acknowledged') say(atMs, `over${after(cameAtMs, atMs)}`)
    else if (state === 'suppressed-by-design') say(atMs, 'silent')
    isOver = !calls && OVER.has(state)
    if (!calls && isAnswered(state, reason)) waitsSinceMs = null
  }
  for (const { person, by, state, at } of told) {
    const whom = person ?? 'somebody'
    const way = by === '' ? '' : ` by ${by}`
    if (state === 'delivered') say(Date.parse(at), `told to ${whom}${way}`)
    else if (state === 'failed' || state === 'dropped')
      say(Date.parse(at), `could not be told to ${whom}${way}`)
  }
  if (lines.length === 0) say(Date.parse(alarm.raisedAt), 'came')
  lines.sort((a, b) => a.atMs - b.atMs)
  return lines.map(({ atMs, words, says }, at) => {
    const before = lines[at - 1]
    return { at: before ? next(atMs, before.atMs, nowMs, zone) : moment(atMs, nowMs, zone), words, says }
  })
}

type Step = JournalEntry['steps'][number]
const OVER: ReadonlySet<Step['state']> = new Set(['return-to-normal-unacknowledged', 'latched'])

/** Of what was over before its last call was answered: an earlier one may have been. */
const unanswered = (answeredMs: number | null, said: Said): string =>
  answeredMs === null
    ? 'nobody had acknowledged it'
    : `acknowledged ${said(answeredMs)}, but not since it called again`

const ANSWERED: ReadonlySet<Step['state']> = new Set([
  'acknowledged',
  'latched-acknowledged',
  'shelved',
  'out-of-service',
  'normal',
])
/** Somebody has dealt with it, or there is nothing left to deal with. */
const isAnswered = (state: Step['state'], reason: Step['reason']): boolean =>
  reason === 'acknowledged' || reason === 'reset' || ANSWERED.has(state)

/** That it came; of one that had been acknowledged and was over, that it came back, and who knows of it. */
function cameFirst({ acknowledgedBefore: before, raisedAt }: JournalEntry['alarm'], said: Said): string {
  if (!before || Date.parse(before.at) >= Date.parse(raisedAt)) return 'came, and called'
  return `came back, and called: ${before.by ?? 'somebody'} had acknowledged it ${said(Date.parse(before.at))}`
}

/** Why it called once more, and whose doing that was. */
function calledAnew({ rule }: JournalEntry['alarm'], reason: Step['reason'], who: string): string {
  switch (reason) {
    case 're-alarm':
      return 'called again, for it still held'
    case 'unshelved':
      return who === ''
        ? 'no longer put off: it still held, and called again'
        : `brought back${who}, and called again`
    case 'above-limit':
      return rule === 'water-heading-hot'
        ? 'called again: what it warned of has come, and only the warning was seen'
        : 'called again'
    case 'in-service':
      return `returned to service${who}, and called`
    case 'suppression-ended':
      return `watched again${who}, and called`
    default:
      return 'called again'
  }
}

const after = (sinceMs: number | null, atMs: number): string =>
  sinceMs === null ? '' : ` after ${exactly(Math.max(0, atMs - sinceMs))}`

/** What the drawing shows, for whoever cannot see it. */
export function timelineWords(
  { marks }: Pick<Journal, 'marks'>,
  nameOf: (vesselId: string | null) => string,
): string {
  const called = marks.filter(({ came }) => came > 0)
  if (called.length === 0) return 'No alarm called in this time.'
  const byPlace = new Map<string, number>()
  for (const { vesselId, came } of called)
    byPlace.set(nameOf(vesselId), (byPlace.get(nameOf(vesselId)) ?? 0) + came)
  const places = [...byPlace].map(([name, many]) => `${name} ${many}`).join(', ')
  return `${manyAlarms(called.reduce((sum, { came }) => sum + came, 0))}: ${places}.`
}
