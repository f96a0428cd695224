import { ownUnitFirst, type TemperatureUnit } from '../hatch/own-unit-first.ts'
import { type Alarm, Reason, RuleName } from '../rules/alarm.ts'
import { callLine, whatHappened } from '../rules/alarm-name.ts'
import { duration, temperature } from '../rules/words.ts'
import { Occasion } from './contract.ts'
import { wallTime } from './hours.ts'

/** A subject line on a phone shows some forty characters: what has happened and where comes first, then what to do, and the rest is cut. */
const TITLE_LENGTH = 150

export interface Words {
  readonly title: string
  readonly text: string
}

/** A message that follows its words by less still tells how it is, ms. Own choice: water moves by a tenth of a degree in that time. */
const LATE_MS = 2 * 60_000

/** When a message is sent, and what has been measured since the call that it is about. */
export interface Sent {
  /** When the alarm's words were written: at its call, or later where they follow what it is about. */
  readonly saidMs: number
  readonly nowMs: number
  /** Of the clock that its times are told by. */
  readonly zone: string
  /** The newest good measurement of the water that the alarm is about, °C. */
  readonly water: { readonly atMs: number; readonly value: number } | null
  /** Which of the two comes first where temperatures are told. */
  readonly unit: TemperatureUnit
}

/** An alarm keeps the words of its call: whoever hears of it later is told when it was so, and how the water is by now. */
export function lateWords(text: string, { saidMs, nowMs, zone, water }: Sent): string {
  if (nowMs - saidMs < LATE_MS) return text
  const then = `This is how it was at ${wallTime(zone, saidMs)}, ${duration(nowMs - saidMs)} before this message:\n${text}`
  return water === null || water.atMs <= saidMs
    ? then
    : `At ${wallTime(zone, water.atMs)} the water was ${temperature(water.value)}.\n${then}`
}

/** What a person is told of an alarm: what has happened, where, and what to do on one line; then all of it. */
export function alarmWords(alarm: Alarm, where: string | null, occasion: Occasion, sent?: Sent): Words {
  const { title, text } = wordsOf(alarm, where, occasion, sent)
  const unit = sent?.unit ?? 'C'
  return { title: oneLine(ownUnitFirst(title, unit)), text: ownUnitFirst(text, unit) }
}

function wordsOf(alarm: Alarm, where: string | null, occasion: Occasion, sent?: Sent): Words {
  const place = where ?? 'The room'
  if (occasion === Occasion.over) {
    return {
      title: `Over: ${whatHappened(alarm, where)}`,
      text: `${place} is back to normal. Before:\n${alarm.text}`,
    }
  }
  const seen = sent ? seenWords(alarm, sent) : ''
  const again = occasion === Occasion.again && seen === '' ? 'It still stands.\n' : seen
  const why = occasion === Occasion.escalated ? 'Nobody who was called before you has answered.\n' : ''
  return {
    title: callLine(alarm, where),
    text: `${again}${why}${sent ? lateWords(alarm.text, sent) : alarm.text}`,
  }
}

/** Whoever is called for what was acknowledged before is told so: somebody may be at it. */
function seenWords(alarm: Alarm, { zone, nowMs }: Sent): string {
  const { seenBefore: seen, acknowledgedAtMs, raisedAtMs, reason } = alarm
  if (!seen || acknowledgedAtMs !== null) return ''
  const hasCome = alarm.rule === RuleName.waterHeadingHot && reason === Reason.aboveLimit
  const who = `${seen.by ?? 'Somebody'} acknowledged ${hasCome ? 'the warning' : 'it'} at ${wallTime(zone, seen.atMs)}, ${duration(nowMs - seen.atMs)} ago`
  if (hasCome) return `What was warned of has come: ${who}.\n`
  return seen.atMs < raisedAtMs
    ? `It comes back: ${who}, and it was over since.\n`
    : `${who}, and it still holds.\n`
}

/** What a person is told who tries out whether a message arrives. */
export function testWords(name: string): Words {
  return {
    title: 'Nothing to do: this is a test',
    text: `This message was sent to see whether ${name} can be reached this way. It arrived: nothing else is to be done.`,
  }
}

/** Names come from people: whatever they hold, a title is one line of a bounded length. */
export function oneLine(text: string): string {
  const plain = text.replace(/[\u0000-\u001f\u007f\u2028\u2029]+/g, ' ').trim()
  return plain.length <= TITLE_LENGTH ? plain : `${plain.slice(0, TITLE_LENGTH - 1).trimEnd()}…`
}
