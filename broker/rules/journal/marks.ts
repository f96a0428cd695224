import { Priority } from '../alarm.ts'

/**
 * What is published as good. The marks are for people who do nothing but watch, all day: a keeper with another life to live is
 * well served with far fewer.
 *
 * - At most one alarm in ten minutes on average over the day, 144 a day; ten within ten minutes are a flood; about 5, 15 and 80 %
 *   of critical, high and low priority. EEMUA Publication 191, Alarm systems: a guide to design, management and procurement.
 * - What comes and goes three times or more within a minute chatters, and nothing should. ANSI/ISA-18.2 (IEC 62682).
 * - What has stood for a day is stale; ANSI/ISA-18.2 bears with fewer than five of them in a whole plant (from memory). Of a fish
 *   room none is to be borne with: own choice.
 */
export const MARKS = {
  perDay: 144,
  tenMinutes: 9,
  chattering: 0,
  stale: 0,
} as const

/** As shares. More urgent ones may be fewer, never many more. */
export const PRIORITY_MARKS: Readonly<Record<Priority, number>> = {
  [Priority.critical]: 0.05,
  [Priority.high]: 0.15,
  [Priority.low]: 0.8,
}
/** A share is told from its mark by so many alarms, and no fewer. Own choice: of twenty, one is 5 %. */
export const FEWEST_ALARMS = 20
/** A share may be this much over its mark, as a factor: "about". Own choice. */
export const ABOUT = 2

export const TEN_MINUTES_MS = 10 * 60_000
export const DAY_MS = 86_400_000
/** Chattering: so often within so long. */
export const CHATTER_TIMES = 3
export const CHATTER_MS = 60_000
/** A call without an acknowledgement for so long is one that nobody answered. Own choice. */
export const UNANSWERED_MS = 3_600_000
