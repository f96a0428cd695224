import type { TryOutAsk, TryOutDesk, TryOutView } from '../../broker/replay/contract.ts'
import { NOW_MS } from './examples.ts'

export interface FakeTryOuts extends TryOutDesk {
  readonly asked: TryOutAsk[]
  /** As many wait as may. */
  full: boolean
}

const MINUTE_MS = 60_000

/** A desk whose try-outs end at the first look: one alarm earlier by ten minutes, one gone, one batch without readings. */
export function fakeTryOuts(): FakeTryOuts {
  const views = new Map<string, TryOutView>()
  const asked: TryOutAsk[] = []
  const hot = (atMs: number) =>
    ({
      vesselId: 'v1',
      rule: 'water-too-hot',
      priority: 'critical',
      raisedAtMs: atMs,
      calledAtMs: [atMs],
      clearedAtMs: atMs + 30 * MINUTE_MS,
      state: 'normal',
      reason: 'back-within-limit',
      causedBy: null,
      value: 29.5,
    }) as const
  const batch = {
    batchId: 'b1',
    vesselId: 'v1',
    startedAtMs: NOW_MS - 600 * MINUTE_MS,
    untilMs: NOW_MS,
  } as const
  const at = NOW_MS - 300 * MINUTE_MS
  const desk: FakeTryOuts = {
    asked,
    full: false,
    start(ask) {
      if (desk.full) return null
      asked.push(ask)
      const view = {
        id: `t${asked.length}`,
        state: 'waiting',
        progress: 0,
        total: null,
        batches: [],
        error: null,
      } as const
      views.set(view.id, view)
      return view
    },
    find(id) {
      const view = views.get(id)
      if (view?.state !== 'waiting') return view
      const done = {
        ...view,
        state: 'done',
        progress: 1,
        total: 2,
        batches: [
          {
            ...batch,
            running: false,
            untried: null,
            alarms: [
              {
                change: 'earlier',
                rule: 'water-too-hot',
                now: hot(at),
                then: hot(at - 10 * MINUTE_MS),
                byMs: -10 * MINUTE_MS,
              },
              { change: 'gone', rule: 'water-too-hot', now: hot(NOW_MS - MINUTE_MS), then: null, byMs: 0 },
            ],
            silent: { now: 1, then: 0 },
          },
          {
            ...batch,
            batchId: 'b0',
            running: false,
            untried: 'no-readings',
            alarms: [],
            silent: { now: 0, then: 0 },
          },
        ],
      } as const
      views.set(id, done)
      return done
    },
    cancel(id) {
      const view = views.get(id)
      if (view) views.set(id, { ...view, state: 'cancelled' })
      return views.get(id)
    },
  }
  return desk
}
