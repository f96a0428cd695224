import { MOST_NAUPLII_PER_G } from '../hatch/counts/most-nauplii.ts'
import { poolNauplii, sampledWaterMl } from '../hatch/counts/samples.ts'
import type { BatchRow } from '../store/contract.ts'
import { type CountSample } from './event-contract.ts'
import { RoomError, RoomErrorKind } from './contract.ts'

/** More is a slip of the pen: the most that is published is 5 g/l (FAO Fisheries Technical Paper 361). */
const MOST_CYSTS_GPL = 50
/** A count may be this far above it: drops and syringes are not exact, and a vessel may not be mixed. Own choice. */
const COUNT_LEEWAY = 3

/** Refuses a dose that nobody can have meant. */
export function checkDose(what: string, { litres, cystsG }: Pick<BatchRow, 'litres' | 'cystsG'>): void {
  const gpl = cystsG / litres
  if (gpl <= MOST_CYSTS_GPL) return
  const rule = `${cystsG} g of cysts in ${litres} L are ${Math.round(gpl)} g/L; up to ${MOST_CYSTS_GPL} are taken, and above 5 fewer hatch`
  throw new RoomError(RoomErrorKind.invalid, `Cannot ${what}: ${rule}`, 'cystsG')
}

/** Refuses a count of more nauplii than the dose can have given. */
export function checkCount(
  batch: BatchRow,
  {
    samples,
    drawnOffMl,
  }: { readonly samples: readonly CountSample[]; readonly drawnOffMl?: number | undefined },
): void {
  const whole = (value: number) => Math.round(value).toLocaleString('en-US')
  const waterMl = sampledWaterMl({ litres: batch.litres, drawnOffMl })
  const { count, ml } = poolNauplii(samples)
  if (drawnOffMl !== undefined && ml > drawnOffMl)
    throw new RoomError(
      RoomErrorKind.invalid,
      `Cannot write it down: the samples hold ${whole(ml)} ml, and ${whole(drawnOffMl)} ml were drawn off in all`,
      'drawnOffMl',
    )
  const perMl = count / ml
  const mostPerMl = (batch.cystsG * MOST_NAUPLII_PER_G) / waterMl
  if (!(perMl > COUNT_LEEWAY * mostPerMl)) return
  const where = drawnOffMl === undefined ? `in ${batch.litres} L` : `in the ${whole(waterMl)} mL drawn off`
  const rule = `${whole(perMl)} nauplii a millilitre are more than ${batch.cystsG} g of cysts ${where} can give, which is ${whole(mostPerMl)}; look at the millilitres and the dilution, and at what was sampled: the vessel, or what was drawn off`
  throw new RoomError(RoomErrorKind.invalid, `Cannot write it down: ${rule}`, 'samples')
}
