import { correct } from '../../hatch/calibration/correct.ts'
import { type Columnar, slice } from '../codec/columns.ts'
import type { Source } from '../contract.ts'

/** The samples within a source's span, each set right. */
export function setRight({ at, value, mark }: Columnar, source: Source): Columnar {
  const from = firstNotBefore(at, source.fromMs)
  const to = firstNotBefore(at, source.toMs)
  const asIs = source.offset === 0 && (source.gain ?? 1) === 1
  const moved = asIs ? value : value.map(one => correct(one, source))
  return slice({ at, value: moved, mark }, from, to)
}

function firstNotBefore(at: Float64Array, ms: number): number {
  let low = 0
  let high = at.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (at[middle]! < ms) low = middle + 1
    else high = middle
  }
  return low
}
