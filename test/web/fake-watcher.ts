import type { HeartbeatNow, Watcher } from '../../broker/web/watcher.ts'

export interface FakeWatcher extends Watcher {
  readonly changes: unknown[]
}

/** A heartbeat that is kept as it was told, and beats for nobody. */
export function fakeWatcher(): FakeWatcher {
  const changes: unknown[] = []
  let now: HeartbeatNow = {
    settings: null,
    lastBeatAtMs: null,
    ailments: [],
    missed: null,
    failing: false,
  }
  return {
    changes,
    now: () => now,
    async change(settings) {
      changes.push(settings)
      now = { ...now, settings }
      return now
    },
    tryNow: async () => ({ arrived: now.settings !== null, words: 'That is what came of it.' }),
  }
}
