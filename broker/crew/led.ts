import type { IntakeStats } from '../intake/stats.ts'
import type { RunningRoom } from '../room/room.ts'
import type { Position } from '../store/postgres/position.ts'
import type { PostgresStore } from '../store/postgres/postgres-store.ts'

/** What a worker that leads brings to the start: its store, and how it judges what all workers keep there. */
export interface Led {
  /** Another's to open and close. */
  readonly store: PostgresStore
  /** Up to where has been judged: the room is opened as it was then. */
  readonly position: Position
  /** Under which the broker knows the leader, whichever worker that is. */
  readonly clientId: string
  /** Begins to judge. */
  readonly judge: (room: Pick<RunningRoom, 'judge' | 'keepMemories'>) => Judging
  readonly stats: () => IntakeStats
  readonly ailments: () => readonly string[]
}

export interface Judging {
  /** Resolves once all that was kept before is judged, or nothing will be any more. */
  readonly caughtUp: Promise<void>
  /** To be called at each look at the room, in the same turn. */
  keep(): void
}

/** Opens the room as it was where judging goes on: what is kept already and not judged yet is still to come. */
export async function openedAsJudged<T>(led: Led | null, open: () => Promise<T>): Promise<T> {
  led?.store.readUpTo(led.position)
  try {
    return await open()
  } finally {
    led?.store.readUpTo(null)
  }
}
