import { Quality } from '../../intake/reading.ts'

/** Qualities by their code on disk. Only ever append: the position is what was written. */
const BY_CODE: readonly Quality[] = [
  Quality.good,
  Quality.powerOn,
  Quality.disconnected,
  Quality.allZero,
  Quality.outOfRange,
  Quality.frozen,
  Quality.outOfWater,
  Quality.reportedFault,
]
const CODES = new Map(BY_CODE.map((quality, code) => [quality, code]))

/** The mark of a good value: by far the most. */
export const GOOD_MARK = 0

/** One byte for a sample's quality and whether its value is missing. */
export function markOf(quality: Quality, missing: boolean): number {
  const code = CODES.get(quality)
  if (code === undefined) throw new RangeError(`Cannot pack quality: it must be a known one, got ${quality}`)
  return code * 2 + (missing ? 1 : 0)
}

export function isMissing(mark: number): boolean {
  return (mark & 1) === 1
}

export function qualityOf(mark: number): Quality {
  const quality = BY_CODE[mark >> 1]
  if (quality === undefined)
    throw new RangeError(`Cannot read quality: its code is not known, got ${mark >> 1}`)
  return quality
}
