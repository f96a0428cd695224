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

const EEMUA = 'EEMUA 191'
const ISA = 'ANSI/ISA-18.2'

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
  const { alarms, calls, perDay, busiestTenMinutes: busiest, chattering, stale, acknowledging } = figures
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
      more: alarms === 0 ? 'Nobody was called.' : `${manyAlarms(alarms)} in all${toldAgain(calls - alarms)}.`,
      mark: `at most ${perDay.mark}, one in ten minutes, for people who do nothing but watch (${EEMUA})`,
      verdict: perDay.verdict,
    },
    {
      title: 'Most within ten minutes',
      value: count(busiest.value ?? 0),
      more: busiest.from === null ? '' : `From ${moment(Date.parse(busiest.from), nowMs, zone)}.`,
      mark: `under ${busiest.mark + 1}: that is a flood (${EEMUA})`,
      verdict: busiest.verdict,
    },
    answered(acknowledging),
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
      mark: 'none: what nobody ends is no alarm any more (own choice)',
      verdict: stale.verdict,
    },
    {
      title: 'Come and go in a minute',
      value: count(chattering.value ?? 0),
      more: chattering.sources.map(each => `${named(each)}: ${times(each.times)} in a minute.`).join(' '),
      mark: `none: three times in a minute is chattering (${ISA})`,
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

function answered({ count, meanS, medianS, never }: JournalFigures['acknowledging']): FigureWords {
  const nobody =
    never === 0 ? '' : never === 1 ? ' One was never acknowledged.' : ` ${never} were never acknowledged.`
  const mean = meanS === null || count < 2 ? '' : `On average ${exactly(meanS * 1000)}.`
  return {
    title: 'Until somebody answered',
    value: medianS === null ? 'nobody yet' : exactly(medianS * 1000),
    more: `${mean}${nobody}`.trim(),
    mark: '',
    verdict: null,
  }
}

function priorities({ priorities: { critical, high, low }, alarms }: JournalFigures): FigureWords[] {
  const all = [critical, high, low]
  const verdicts = all.map(({ verdict }) => verdict)
  return [
    {
      title: 'Critical, high, low',
      value: alarms === 0 ? 'none' : percents(all.map(({ value }) => value ?? 0)),
      more: alarms === 0 ? '' : `${all.map(each => each.alarms).join(', ')} alarms.`,
      mark: `about ${percents(all.map(({ mark }) => mark))} (${EEMUA})`,
      verdict: verdicts.includes('unknown') ? 'unknown' : verdicts.includes('over') ? 'over' : 'good',
    },
  ]
}

const percents = (shares: readonly number[]): string =>
  `${shares.map(share => Math.round(share * 100)).join(', ')} %`

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
    ...(silent === 0 ? [] : [`${silent} that called nobody, because of another alarm or of work`]),
    ...(before === 0 ? [] : [`${before} that came earlier`]),
  ]
  return parts.length === 0 ? '' : `Listed too, and not counted: ${parts.join('; ')}.`
}

/** How often one came, where that was more than once: `came 3 times`. */
export const cameWords = (came: number): string => (came < 2 ? '' : `, came ${times(came)}`)

/** An alarm's life as lines, oldest first: each with its moment and what happened. */
export function lifeLines(
  { alarm, steps, told }: JournalEntry,
  nowMs: number,
  zone: Zone,
): { readonly at: string; readonly words: string; readonly says: string }[] {
  let hasCalled = false
  /** Since when a call has waited for somebody: after an answer the next call waits anew, as the figures count it. */
  let waitsSinceMs: number | null = null
  let cameAtMs: number | null = null
  const lines: { atMs: number; words: string; says: string }[] = []
  const say = (atMs: number, words: string, says = '') => lines.push({ atMs, words, says })
  for (const { at, state, reason, calls, by, says, until, why } of steps) {
    const atMs = Date.parse(at)
    cameAtMs ??= atMs
    const who = by === null ? '' : ` by ${by}`
    const end = until === undefined ? '' : ` until ${moment(Date.parse(until), nowMs, zone)}`
    if (calls) {
      const first = !hasCalled && reason !== 'unshelved' && reason !== 'in-service'
      say(atMs, first ? 'came, and called' : calledAnew(reason, who), says)
      hasCalled = true
      waitsSinceMs ??= atMs
    } else if (reason === 'acknowledged') say(atMs, `acknowledged${who}${after(waitsSinceMs, atMs)}`)
    else if (reason === 'shelved') say(atMs, `put off${who}${end}`)
    else if (reason === 'out-of-service')
      say(atMs, `taken out of service${who}${end}${why === undefined ? '' : `: ${why}`}`)
    else if (reason === 'unshelved') say(atMs, `brought back${who}: it was over`)
    else if (reason === 'in-service') say(atMs, `returned to service${who}`)
    else if (reason === 'suppression-ended') say(atMs, `watched again after the work${who}`)
    else if (reason === 'consequence') say(atMs, 'silent: it was the consequence of another alarm')
    else if (reason === 'suppressed') say(atMs, 'silent for the work that went on')
    else if (reason === 'reset') say(atMs, `reset${who}`)
    else if (reason === 'batch-ended') say(atMs, 'over with its batch')
    else if (reason === 'not-watched') say(atMs, 'not watched any more')
    else if (state === 'return-to-normal-unacknowledged' || state === 'latched')
      say(atMs, `over${after(cameAtMs, atMs)}; nobody had acknowledged it`)
    else if (state === 'normal' || state === 'latched-acknowledged') say(atMs, `over${after(cameAtMs, atMs)}`)
    else if (state === 'suppressed-by-design') say(atMs, 'silent')
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

/** Why it called once more, and whose doing that was. */
function calledAnew(reason: JournalEntry['steps'][number]['reason'], who: string): string {
  switch (reason) {
    case 're-alarm':
      return 'called again, for it still held'
    case 'unshelved':
      return who === ''
        ? 'no longer put off: it still held, and called again'
        : `brought back${who}, and called again`
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
