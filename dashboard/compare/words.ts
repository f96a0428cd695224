import type { ComparedBatch } from '../../broker/web/api/compare.ts'
import type { Diagnosis } from '../../broker/web/api/diagnosis.ts'
import { causeTitle, isCostly } from '../replay/words.ts'
import { moment, type Zone } from '../words/time.ts'

const hours = (s: number): string => `${Math.round(s / 360) / 10} h`

/** `Left cone, Tue 06:40`. */
export function batchName({ batch, vesselName }: ComparedBatch, nowMs: number, zone: Zone): string {
  return `${vesselName ?? 'A vessel that is gone'}, ${moment(Date.parse(batch.startedAt), nowMs, zone)}`
}

/** What was counted: `62 % hatched`. */
export function yieldText({ counted }: Pick<ComparedBatch, 'counted'>): string {
  if (!counted) return 'not counted'
  const { hatchPercentage, naupliiPerG } = counted
  if (hatchPercentage !== null) return `${Math.round(hatchPercentage)} % hatched`
  return `${(Math.round(naupliiPerG / 1000) * 1000).toLocaleString('en-US')} a gram`
}

/** How long it was open, and how long it took: `36 h; nine tenths out after 25.3 h`. */
export const lastedText = ({ batch }: ComparedBatch, nowMs: number): string =>
  `${hours(((batch.endedAt === null ? nowMs : Date.parse(batch.endedAt)) - Date.parse(batch.startedAt)) / 1000)}${batch.endedAt === null ? ' so far' : ''}`
export const reachedText = (s: number | null): string => (s === null ? 'not reached' : hours(s))

/** What went wrong, in three words; what is said while it is found out. */
export function verdictText(made: Diagnosis | null | undefined): string {
  if (made === undefined) return '…'
  if (made === null) return 'not known'
  const [first] = made.causes.filter(isCostly)
  if (first) return causeTitle(first.kind)
  const [harmless] = made.causes
  if (harmless) return `nothing lost; ${causeTitle(harmless.kind)}`
  const [risk] = made.risky
  if (risk) return `nothing lost; ${causeTitle(risk.kind)} was risky`
  switch (made.verdict) {
    case 'unexplained':
      return 'unexplained'
    case 'not-counted':
      return 'nothing off, not counted'
    default:
      return 'nothing went wrong'
  }
}
