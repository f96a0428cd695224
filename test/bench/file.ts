import { monitorEventLoopDelay } from 'node:perf_hooks'
import type { HandoverDesk } from '../../broker/room/handover/desk.ts'
import { gather } from '../../broker/room/handover/gather.ts'
import { Guests } from '../../broker/room/handover/guests.ts'
import { LocalDesk } from '../../broker/room/handover/local-desk.ts'
import { takeIn } from '../../broker/room/handover/take-in.ts'
import { ThreadDesk } from '../../broker/room/handover/thread-desk.ts'
import { heavyFile, type HeavyFile } from '../room/handover/heavy-file.ts'
import { HOUR, openTestRoom } from '../room/opened.ts'
import { middle } from './numbers.ts'
import type { Figure, Subject } from './subject.ts'

/** A reading that crosses its limit is called within one second, all in all. */
const BAR = { below: 100 }
const RESOLUTION_MS = 5

type Step = 'brought in' | 'opened and foreseen' | 'taken into the books' | 'written out'

/** How long a batch file about as heavy as one may be holds the event loop, on the service's thread for files and without one. */
export const file: Subject = {
  name: 'file',
  async measure(settings) {
    const heavy = heavyFile(settings.quick ? 1 : 6)
    const held = { thread: [] as Held[], loop: [] as Held[] }
    for (let repeat = 0; repeat < settings.repeats; repeat++) {
      held.thread.push(await holds(heavy, new ThreadDesk()))
      held.loop.push(await holds(heavy, new LocalDesk()))
    }
    return Object.keys(held.thread[0]!).flatMap((step): Figure[] => {
      const of = (all: readonly Held[]) => middle(all.map(one => one[step as Step]))
      return [
        { name: `a heavy file ${step}: the loop is held`, ...of(held.thread), unit: 'ms', bar: BAR },
        { name: '  where it is done on the loop itself', ...of(held.loop), unit: 'ms' },
      ]
    })
  },
}

type Held = Record<Step, number>

async function holds({ file: { batch }, packed }: HeavyFile, desk: HandoverDesk): Promise<Held> {
  const opened = await openTestRoom(batch.endedAtMs! + HOUR)
  try {
    const { store, nowMs, room } = opened
    const guests = new Guests({ store, clock: () => nowMs, desk })
    const brought = await longestHold(() => guests.bring(packed, 'Bo'))
    const foreseen = await longestHold(async () => (await guests.room(batch.id))!.forecast(batch.id))
    await guests.remove(batch.id)
    return {
      'brought in': brought,
      'opened and foreseen': foreseen,
      'taken into the books': await longestHold(async () => takeIn(store, room, await desk.unpack(packed))),
      'written out': await longestHold(async () =>
        desk.write(await gather(store, batch.id, { nowMs, program: 'a bench' })),
      ),
    }
  } finally {
    await desk.close()
    await opened.close()
  }
}

async function longestHold(work: () => Promise<unknown>): Promise<number> {
  const delay = monitorEventLoopDelay({ resolution: RESOLUTION_MS })
  delay.enable()
  try {
    await work()
    await new Promise(resolve => setTimeout(resolve, 4 * RESOLUTION_MS))
    return delay.max / 1e6 - RESOLUTION_MS
  } finally {
    delay.disable()
  }
}
