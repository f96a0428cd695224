import type {
  AssignmentRow,
  BatchEventRow,
  BatchRow,
  Sample,
  Source,
  VesselRow,
  WatchRow,
} from '../store/contract.ts'

/**
 * All that is known of a stretch of the room's past, enough to live through it again. Times are Unix ms.
 *
 * What is not on record, and how it is taken: a reading arrived when it was measured, unless the log of the watch says that it
 * came over a minute late; a batch was written down when it started; vessels had the size and the name that they have now.
 */
export interface Recording {
  /** From here on everything is judged; what was measured before is followed, as after a start of the service. */
  readonly fromMs: number
  /** Exclusive. */
  readonly toMs: number
  readonly vessels: readonly VesselRow[]
  readonly assignments: readonly AssignmentRow[]
  /** Those that were in a vessel within the stretch, and the earlier ones of their lots. Newest first. */
  readonly batches: readonly BatchRow[]
  /** What was written down of each, by its id. */
  readonly events: ReadonlyMap<string, readonly BatchEventRow[]>
  /** What earlier batches have taught of their lots: documents by their key. */
  readonly documents: ReadonlyMap<string, string>
  /** Of which vessels the lamp was known to be the heater, or not to be, when the stretch began. */
  readonly lamps: Readonly<Record<string, boolean>>
  /** The log of the watch over the stretch, oldest first. */
  readonly log: readonly WatchRow[]
  /** As the store answers: also of before the stretch. */
  readonly samples: (sources: readonly Source[]) => Promise<Sample[]>
}
