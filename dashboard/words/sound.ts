import type { Alarm } from '../../broker/web/api/schemas.ts'
import type { Pattern } from '../alarm/tones.ts'

type Priority = Alarm['priority']

/** How each priority sounds, for those who have not heard it yet or cannot. */
const TONES: Record<Priority, string> = {
  critical: 'six quick tones, up and up to a long high one',
  high: 'three tones, going down',
  low: 'two slow tones, going up',
}

const COUNT = ['no', 'one', 'two', 'three', 'four'] as const
/** A shake of this length and more is felt as a long one, ms. */
const LONG_MS = 400

/** `six quick tones, …, every 2.5 s`. */
export const patternText = (priority: Priority, { everyS }: Pattern): string =>
  `${TONES[priority]}, every ${everyS} s`

/** `two short shakes and a long one`. The pattern is on and off in turn. */
export function shakeText({ shake }: Pattern): string {
  const on = shake.filter((_, index) => index % 2 === 0)
  const long = on.filter(ms => ms >= LONG_MS).length
  const short = on.length - long
  const shorts = `${COUNT[short] ?? short} short shake${short === 1 ? '' : 's'}`
  if (long === 0) return shorts
  return `${shorts} and ${long === 1 ? 'a long one' : `${COUNT[long] ?? long} long ones`}`
}

/** Whether this screen will be heard, and what it takes. */
export const SOUND_SENTENCE = {
  off: 'Sound is off: alarms are only shown on this screen.',
  waiting:
    'Sound is wanted, but this browser lets no page sound before the first tap after it was opened. Tap anywhere, once.',
  on: 'Sound is on until this page is closed. Opened again, it is silent until you tap it once: the browser wants that.',
} as const
