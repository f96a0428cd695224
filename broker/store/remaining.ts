import { ColumnBuilder, type Columnar } from './codec/columns.ts'
import type { Source } from './contract.ts'

/** What stays of one channel when readings before `beforeMs`, Unix ms, are dropped: these, and those of the spans that are kept. */
export function remaining(samples: Columnar, beforeMs: number, spans: readonly Source[]): Columnar {
  const left = new ColumnBuilder()
  for (let i = 0; i < samples.at.length; i++) {
    const at = samples.at[i]!
    if (at < beforeMs && !spans.some(span => span.fromMs <= at && at < span.toMs)) continue
    left.push(at, samples.value[i]!, samples.mark[i]!)
  }
  return left.build()
}
