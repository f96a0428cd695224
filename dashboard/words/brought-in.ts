import type { BroughtIn } from '../../broker/web/api/handover.ts'
import { moment, type Zone } from './time.ts'

/** Where a batch from elsewhere came from: `From elsewhere, brought in today 14:10. Written by brinewatch 0.1.0 on 12 May 09:00.` */
export function broughtInText(
  { at, by, writtenAt, writtenBy, names }: BroughtIn,
  nowMs: number,
  zone: Zone,
): string {
  const who = names ? '' : ' Who did what was left out.'
  return `From elsewhere, brought in by ${by}, ${moment(Date.parse(at), nowMs, zone)}. Written by ${writtenBy}, ${moment(Date.parse(writtenAt), nowMs, zone)}.${who}`
}

/** A file's size for a person: `84 kB`. */
export function bytesText(bytes: number): string {
  const kB = bytes / 1000
  return kB < 950 ? `${Math.max(1, Math.round(kB))} kB` : `${(kB / 1000).toFixed(1)} MB`
}
