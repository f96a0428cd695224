import type { Columnar } from './codec/columns.ts'
import { isMissing, qualityOf } from './codec/mark.ts'
import type { Sample } from './contract.ts'
import { othersFirst } from '../turns.ts'

/** So many are made in one go: some milliseconds of work. */
const SAMPLES_A_TURN = 20_000

/** What a worker read, value by value. */
export async function toSamples({ at, value, mark }: Columnar): Promise<Sample[]> {
  const samples = new Array<Sample>(at.length)
  for (let i = 0; i < at.length; i++) {
    if (i > 0 && i % SAMPLES_A_TURN === 0) await othersFirst()
    samples[i] = { atMs: at[i]!, value: isMissing(mark[i]!) ? null : value[i]!, quality: qualityOf(mark[i]!) }
  }
  return samples
}
