import type { Clock } from '../../clock.ts'
import type { Asker } from './asker.ts'
import type { Db } from './database.ts'
import type { StoreLogger } from '../logger.ts'
import type { Rescue } from './rescue.ts'
import type { Writer } from './writer.ts'

/** What a store may do with the file. */
export const Access = {
  /** Everything: the one service of the directory. */
  service: 'service',
  /** Everything but readings, whose numbers and places the service holds in memory. */
  tool: 'tool',
  reading: 'reading',
} as const
export type Access = (typeof Access)[keyof typeof Access]

export interface SqliteStoreParts {
  /** See `group-commit.ts`; 0 when left out. */
  readonly gatherMs?: number
  readonly rescue: Rescue | null
  /** For reading. */
  readonly db: Db
  readonly writer: Writer
  readonly access: Access
  /** For questions of people, and for packing: apart, so that neither waits for the other. */
  readonly reading: Asker
  readonly packing: Asker
  readonly logger: StoreLogger
  readonly clock: Clock | null
  readonly unlock: () => void
}
