import { wholeCountOf } from '../../broker/hatch/counts/whole-count.ts'
import type { CountEstimate } from '../../broker/web/api/counts.ts'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { request } from '../state/api.ts'
import { harvestCount } from '../words/seen.ts'
import { cannotBeOf } from '../words/too-soon.ts'

type Count = Extract<BatchEvent, { kind: 'count' }>
type Said = Pick<CountEstimate, 'nauplii' | 'words'>

/** What a harvest was counted at: pieced together where the stirred vessel and what was drawn off were counted each by itself. */
export interface HarvestEstimate extends Said {
  /** Hatched of a gram: by the stirred vessel, where that was counted too. */
  readonly naupliiPerG: CountEstimate['naupliiPerG']
  /** As the stirred vessel tells it, in per cent; `null` where nobody counted it. */
  readonly hatchPercentage: CountEstimate['hatchPercentage']
  /** What the stirred vessel held, where that was another count than the one of how many there are. */
  readonly stirred: CountEstimate['nauplii'] | null
  /** Counted before anything of its batch can have hatched: it tells nothing of the batch or its lot. */
  readonly tooSoon?: boolean
}

/** The counts that a harvest is told by; `null` where it was not counted. */
export function harvestCounts(
  events: readonly BatchEvent[],
): { readonly count: Count; readonly whole: Count | null; readonly key: string } | null {
  const count = harvestCount(events)
  if (!count) return null
  const counts = events.flatMap(event =>
    event.kind === 'count' && event.withdrawnAt === null ? [event] : [],
  )
  const whole = wholeCountOf(counts, count, ({ at, harvest, drawnOffMl, samples }) => ({
    atMs: Date.parse(at),
    harvest,
    isWhole: drawnOffMl === undefined && samples.some(({ embryos }) => embryos !== undefined),
  }))
  return { count, whole, key: `${count.id} ${whole?.id ?? ''}` }
}

export function pieced(of: CountEstimate, whole: CountEstimate | null): HarvestEstimate {
  const { nauplii, words } = of
  const { naupliiPerG } = whole ?? of
  const hatchPercentage = of.hatchPercentage ?? whole?.hatchPercentage ?? null
  return { nauplii, naupliiPerG, words, hatchPercentage, stirred: whole?.nauplii ?? null }
}

/** Asks the broker what the counts say. Fails as a request does. */
export async function harvestEstimate(
  counts: NonNullable<ReturnType<typeof harvestCounts>>,
  { litres, cystsG, startedAt }: Pick<Batch, 'litres' | 'cystsG' | 'startedAt'>,
): Promise<HarvestEstimate> {
  const ask = ({ samples, drawnOffMl }: Count) =>
    request<CountEstimate>('POST', '/counts/estimate', { litres, drawnOffMl, cystsG, samples })
  const { count, whole } = counts
  const [of, beside] = await Promise.all([
    ask(count),
    whole !== null && whole.id !== count.id ? ask(whole) : null,
  ])
  return {
    ...pieced(of, beside),
    tooSoon: of.nauplii.best > 0 && cannotBeOf({ startedAt }, Date.parse(count.at)),
  }
}
