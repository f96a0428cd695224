import type { Clock } from '../clock.ts'
import type { Store } from '../store/contract.ts'
import { listBridges } from './bridges.ts'

/** As often as the list of devices is looked at. */
const LOOK_EVERY_MS = 3000

/** Ends the connections of bridges that were taken off the list elsewhere, from the command line: whoever is connected is not asked for a password again. */
export function createBridgeWatch(parts: {
  readonly store: Pick<Store, 'records'>
  readonly clock: Clock
  readonly expel: (name: string) => void
}): () => Promise<void> {
  const { store, clock, expel } = parts
  /** When each was let in: one that is there again under the same name is another. */
  let known: ReadonlyMap<string, number> | null = null
  let lookedAtMs = -Infinity
  return async () => {
    const nowMs = clock()
    if (Math.abs(nowMs - lookedAtMs) < LOOK_EVERY_MS) return
    lookedAtMs = nowMs
    const bridges = await listBridges(store)
    const before = known ?? new Map<string, number>()
    known = new Map(bridges.map(({ name, createdAtMs }) => [name, createdAtMs]))
    for (const [name, createdAtMs] of before) if (known.get(name) !== createdAtMs) expel(name)
  }
}
