import type { BatchEvent } from '../../broker/web/api/events.ts'
import { harvestCount } from '../words/seen.ts'
import type { Replay } from '../../broker/web/api/replay.ts'
import type { Diagnosis } from './diagnosed.ts'

/** What can leave none alive. */
const DEADLY: readonly string[] = ['too-hot', 'air-lost']

/** So few among what was counted are strays. Own choice. */
export const STRAYS = 0.005

/**
 * When that began by which none was left alive at the harvest's count, Unix ms: what the model says of the time after it never was. `Infinity`
 * where some were alive; while it is not known what killed them, nothing may be said of any time, unless somebody saw them swim before.
 */
export function killedFromMs(
  events: readonly BatchEvent[],
  diagnosis: Pick<Diagnosis, 'causes'> | null,
): number {
  const count = harvestCount(events)
  if (!count) return Infinity
  const all = count.samples.map(({ nauplii, umbrella = 0, embryos = 0 }) => nauplii + umbrella + embryos)
  const alive = count.samples.reduce((sum, { nauplii }) => sum + nauplii, 0)
  if (alive > STRAYS * all.reduce((a, b) => a + b, 0)) return Infinity
  const fromMs = deadlyFromMs(diagnosis)
  return diagnosis && fromMs === -Infinity && swamBefore(events) ? Infinity : fromMs
}

const swamBefore = (events: readonly BatchEvent[]): boolean =>
  events.some(
    event =>
      event.withdrawnAt === null &&
      (event.kind === 'first-swimmers' ||
        (event.kind === 'count' && event.samples.some(({ nauplii }) => nauplii > 0))),
  )

/** Of a batch of which none was alive, when that began which kills all, Unix ms; `-Infinity` where it is not known what did. */
export function deadlyFromMs(diagnosis: Pick<Diagnosis, 'causes'> | null | undefined): number {
  if (!diagnosis) return -Infinity
  const starts = diagnosis.causes
    .filter(({ kind }) => DEADLY.includes(kind))
    .flatMap(({ evidence }) => evidence.flatMap(({ spans }) => spans.map(({ from }) => Date.parse(from))))
  return starts.length === 0 ? -Infinity : Math.min(...starts)
}

/** The batch with its course as it was: nothing hatched after all were dead, and nothing was left to eat. */
export function asItWas(replay: Replay, diagnosis: Pick<Diagnosis, 'causes'> | null): Replay {
  const killedMs = killedFromMs(replay.events, diagnosis)
  if (killedMs === Infinity) return replay
  const { t, hatched, usable } = replay.course
  const last = t.findLastIndex(atMs => atMs <= killedMs)
  type Column = readonly (number | null)[]
  type Band = Replay['course']['hatched']
  const from = ({ p10, p50, p90 }: Band, after: (column: Column) => number | null): Band => {
    const cut = (column: Column) => column.map((one, at) => (at <= last ? one : after(column)))
    return { p10: cut(p10), p50: cut(p50), p90: cut(p90) }
  }
  return {
    ...replay,
    course: {
      ...replay.course,
      hatched: from(hatched, column => column[last] ?? 0),
      usable: from(usable, () => 0),
    },
  }
}
