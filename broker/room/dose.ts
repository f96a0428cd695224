import { MOST_NAUPLII_PER_G } from '../hatch/counts/most-nauplii.ts'
import type { BatchRow } from '../store/contract.ts'
import { RoomError, RoomErrorKind, type CountSample } from './contract.ts'

/** More is a slip of the pen: the most that is published is 5 g/l (FAO Fisheries Technical Paper 361). */
const MOST_CYSTS_GPL = 50
/** A count may be this far above it: drops and syringes are not exact, and a vessel may not be mixed. Own choice. */
const COUNT_LEEWAY = 3

/** Refuses a dose that nobody can have meant. */
export function checkDose(what: string, { litres, cystsG }: Pick<BatchRow, 'litres' | 'cystsG'>): void {
  const gpl = cystsG / litres
  if (gpl <= MOST_CYSTS_GPL) return
  const rule = `${cystsG} g of cysts in ${litres} l are ${Math.round(gpl)} g/l; up to ${MOST_CYSTS_GPL} are taken, and above 5 fewer hatch`
  throw new RoomError(RoomErrorKind.invalid, `Cannot ${what}: ${rule}`, 'cystsG')
}

/** Refuses a count of more nauplii than the dose can have given. */
export function checkCount(batch: BatchRow, samples: readonly CountSample[]): void {
  const ml = samples.reduce((sum, { sampleMl, dilution = 1 }) => sum + sampleMl / dilution, 0)
  const nauplii = samples.reduce((sum, sample) => sum + sample.nauplii, 0)
  const perMl = nauplii / ml
  const mostPerMl = (batch.cystsG * MOST_NAUPLII_PER_G) / (batch.litres * 1000)
  if (!(perMl > COUNT_LEEWAY * mostPerMl)) return
  const whole = (value: number) => Math.round(value).toLocaleString('en-US')
  const rule = `${whole(perMl)} nauplii a millilitre are more than ${batch.cystsG} g of cysts in ${batch.litres} l can give, which is ${whole(mostPerMl)}; look at the millilitres and the dilution`
  throw new RoomError(RoomErrorKind.invalid, `Cannot write it down: ${rule}`, 'samples')
}
