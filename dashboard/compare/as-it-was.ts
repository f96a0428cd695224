import type { ComparedBatch } from '../../broker/web/api/compare.ts'
import type { Diagnosis } from '../../broker/web/api/diagnosis.ts'
import { deadlyFromMs, STRAYS } from '../replay/killed.ts'

/**
 * The batch with its course as it was, like its own page shows it: of one that was dead at its count, what the model says of the time
 * after all were dead never was. Nothing is drawn of it while it is not known what killed them.
 */
export function asItWas(one: ComparedBatch, diagnosis: Diagnosis | null | undefined): ComparedBatch {
  const { counted, hatched, batch } = one
  const share = counted && (counted.hatchPercentage ?? (counted.naupliiPerG > 0 ? 100 : 0)) / 100
  if (share === null || share > STRAYS) return one
  const deadS = (deadlyFromMs(diagnosis) - Date.parse(batch.startedAt)) / 1000
  const before = (s: number | null) => (s !== null && s <= deadS ? s : null)
  const last = hatched?.s.findLastIndex(s => s <= deadS) ?? -1
  return {
    ...one,
    hatched: hatched && {
      s: hatched.s,
      v: hatched.v.map((v, at) => (at <= last ? v : (hatched.v[last] ?? 0))),
    },
    t10S: before(one.t10S),
    t90S: before(one.t90S),
  }
}
