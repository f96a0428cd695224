import { countedAt, wholeCountOf } from '../hatch/counts/whole-count.ts'
import type { Case } from './suspects/suspect.ts'

/** What nobody measured of the batch, a word each. */
export function notMeasured({ input, record }: Case): string[] {
  const { water, air, light } = record
  return [
    ...(water.some(Number.isNaN) ? ['the water’s warmth'] : []),
    ...(air.every(Number.isNaN) ? ['air'] : []),
    ...(light.every(Number.isNaN) ? ['light'] : []),
    ...(input.written.pH?.length ? [] : ['pH']),
    ...(input.written.salinity?.length ? [] : ['salt']),
  ]
}

/** What could not be looked at, and what would have told. */
export function blindSpots({ input, record }: Case): string[] {
  const { readings, written } = input
  const none = (values: Float64Array) => values.every(Number.isNaN)
  const spots: string[] = []
  if (!record.waterKnown) spots.push('The water was not measured: heat, cold and delays cannot be told.')
  if (none(record.air)) spots.push('The air was not measured: whether it was lost cannot be told.')
  if (none(record.light))
    spots.push('The light was not measured: whether the first hours were dark cannot be told.')
  if (none(record.room))
    spots.push(
      'The room was not measured: a probe that is off or out of the water is found late or not at all.',
    )
  if (!readings['upper-water']?.length)
    spots.push('There is one water probe: whether the water lay in layers cannot be told for sure.')
  if (!written.pH?.length) spots.push('The pH was not measured.')
  if (!written.salinity?.length)
    spots.push('The salinity was not measured: it is taken as it was written down.')
  if (!written.waterChecked?.length) spots.push('The water was not checked with another thermometer.')
  const harvest = written.counts?.findLast(count => count.harvest)
  if (!harvest) spots.push('The harvest was not counted: what was lost can only be reckoned.')
  else if (wholeCountOf(written.counts ?? [], harvest, countedAt) === null)
    spots.push('Unhatched cysts were not counted: a weak lot and lost nauplii look alike.')
  return spots
}
