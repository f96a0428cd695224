import { gramsText } from '../words/amounts.ts'
import { moment, type Zone } from '../words/time.ts'

interface Known {
  readonly vesselName?: string | undefined
  readonly startedAt: string
  readonly cystsG: number
  readonly lot: string | null
}

/** Which batch a file is of that cannot be brought in, because it is here: by what a person knows it by. */
export function knownWords(
  { vesselName, startedAt, cystsG, lot }: Known,
  whose: 'own' | 'guest',
  zone: Zone,
  nowMs: number,
): string {
  const which = `${vesselName ?? 'a vessel that is gone'}, started ${moment(Date.parse(startedAt), nowMs, zone)}, ${gramsText(cystsG)} cysts${lot ? ` of ${lot}` : ''}`
  return whose === 'own'
    ? `This batch is one of your own: ${which}.`
    : `This batch is here from another file: ${which}.`
}
