import type { Columnar } from './codec/columns.ts'
import { isMissing, qualityOf } from './codec/mark.ts'
import type { Sample } from './contract.ts'

/** What a worker read, value by value. */
export function toSamples({ at, value, mark }: Columnar): Sample[] {
  const samples = new Array<Sample>(at.length)
  for (let i = 0; i < at.length; i++) {
    samples[i] = { atMs: at[i]!, value: isMissing(mark[i]!) ? null : value[i]!, quality: qualityOf(mark[i]!) }
  }
  return samples
}
