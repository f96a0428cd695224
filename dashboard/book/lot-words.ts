import type { LotOnShelf } from '../../broker/web/api/books.ts'
import { dayName, type Zone } from '../words/time.ts'

export const KEPT_WORDS = { freezer: 'Freezer', refrigerator: 'Refrigerator', shelf: 'Shelf' } as const

const DAY_MS = 86_400_000

/** Where a lot is kept, since when it is open, and until when it is to be used. */
export function lotKeepingText(
  { keptIn, openedOn, useBy, putAwayAt }: Pick<LotOnShelf, 'keptIn' | 'openedOn' | 'useBy' | 'putAwayAt'>,
  nowMs: number,
  zone: Zone,
): string {
  const day = (atMs: number) => dayName(atMs, zone, true)
  if (putAwayAt !== null) return `Put away on ${day(Date.parse(putAwayAt))}.`
  const where =
    keptIn === null ? 'Nobody said where it is kept' : `In the ${KEPT_WORDS[keptIn].toLowerCase()}`
  const open = openedOn === null ? '' : `, opened on ${day(Date.parse(openedOn))}`
  return `${where}${open}. ${useBy === null ? '' : useText(useBy, nowMs, day)}`.trim()
}

function useText(
  { from, until, why }: NonNullable<LotOnShelf['useBy']>,
  nowMs: number,
  day: (atMs: number) => string,
): string {
  const [fromMs, untilMs] = [Date.parse(from), Date.parse(until)]
  const reason = why === 'opened' ? 'opened cysts keep 3 to 4 weeks' : 'its date'
  if (nowMs >= untilMs)
    return `Its time was up on ${day(untilMs - DAY_MS)} (${reason}): count its next harvest.`
  if (nowMs >= fromMs) return `Use it by ${day(untilMs)} (${reason}).`
  return `Good until ${day(untilMs)} (${reason}).`
}
