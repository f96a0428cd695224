import { moment, type Zone } from '../words/time.ts'
import { dueWords } from './words.ts'

const HOUR_MS = 3_600_000
/** A feeding is given when so much of it is: no count is exact. Own choice. */
const AS_GOOD_AS_ALL = 0.95
/** Whoever ticks one off longer before its time may mean another one. Own choice. */
const EARLY_MS = 2 * HOUR_MS

/** What is still to be given of a feeding of which so many were; 0 where that is all of it, or nobody counted, or it was not given. */
export const stillToGive = (due: number, given: number | null): number =>
  given === null || given <= 0 || given >= due * AS_GOOD_AS_ALL ? 0 : due - given

/** `8,750 still to give: they stay in the plan.` */
export const stillWords = (rest: number): string =>
  rest > 0 ? `${dueWords(rest)} still to give: they stay in the plan.` : ''

/** Asked before a feeding is ticked off hours before its time; empty where it is not. */
export function earlyWords(atMs: number, nowMs: number, zone: Zone): string {
  if (atMs - nowMs < EARLY_MS) return ''
  return `This feeding is for ${moment(atMs, nowMs, zone)}, ${Math.round((atMs - nowMs) / HOUR_MS)} h from now. Was it given already?`
}
