import { defaultRules } from '../../broker/rules/defaults.ts'
import type { SoonerAsk, SoonerDesk, SoonerView } from '../../broker/replay/sooner/contract.ts'

export interface FakeSooner extends SoonerDesk {
  readonly asked: SoonerAsk[]
  /** As many wait as may. */
  full: boolean
}

const MINUTE_MS = 60_000

/** A desk whose searches end at the first look: half an hour sooner with the warning an hour ahead. */
export function fakeSooner(): FakeSooner {
  const views = new Map<string, SoonerView>()
  const desk: FakeSooner = {
    asked: [],
    full: false,
    start(ask) {
      if (desk.full) return null
      desk.asked.push(ask)
      const view = { state: 'waiting', progress: 0, result: null, error: null } as const
      views.set(ask.batchId, view)
      return view
    },
    find(ask) {
      const view = views.get(ask.batchId)
      if (view?.state !== 'waiting') return view
      const setting = { ...defaultRules['water-heading-hot'], limit: 60 }
      const proposal = { rule: 'water-heading-hot', knob: 'limit', setting } as const
      const calledAtMs = ask.damageAtMs - 40 * MINUTE_MS
      const done = {
        state: 'done',
        progress: 1,
        result: {
          now: { rule: 'water-heading-hot', calledAtMs: calledAtMs + 30 * MINUTE_MS },
          found: { proposal, calledAtMs, gainedMs: 30 * MINUTE_MS },
          refused: null,
          tried: 4,
          checked: ask.others.length,
          cut: false,
        },
        error: null,
      } as const
      views.set(ask.batchId, done)
      return done
    },
    cancel(ask) {
      const view = views.get(ask.batchId)
      if (view) views.set(ask.batchId, { ...view, state: 'cancelled' })
      return views.get(ask.batchId)
    },
  }
  return desk
}
