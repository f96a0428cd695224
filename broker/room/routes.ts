import type { AssignmentRow, Role, Source } from '../store/contract.ts'

/** Which vessel a device's channel belonged to at a moment, and which channels made up a vessel's role over a span. */
export class Routes {
  /** By device, then channel; asked at every reading. */
  readonly #byChannel = new Map<string, Map<string, readonly AssignmentRow[]>>()

  constructor(rows: readonly AssignmentRow[]) {
    for (const row of rows) this.put(row)
  }

  /** Adds an assignment, or replaces the one with its id. */
  put(row: AssignmentRow): void {
    const channels = this.#byChannel.get(row.device) ?? new Map<string, readonly AssignmentRow[]>()
    this.#byChannel.set(row.device, channels)
    const others = (channels.get(row.channel) ?? []).filter(other => other.id !== row.id)
    channels.set(
      row.channel,
      [...others, row].sort((a, b) => a.fromMs - b.fromMs),
    )
  }

  /** The assignment that held for a channel at a moment. */
  at(device: string, channel: string, atMs: number): AssignmentRow | undefined {
    return holdingAt(this.#rows(device, channel), atMs)
  }

  /** The assignments of a device's channels, to be asked with {@link holdingAt}: look them up once a pack. */
  ofDevice(device: string): ReadonlyMap<string, readonly AssignmentRow[]> | undefined {
    return this.#byChannel.get(device)
  }

  /** The assignment of a channel that holds until further notice. */
  current(device: string, channel: string): AssignmentRow | undefined {
    return this.#rows(device, channel).find(row => row.toMs === null)
  }

  /** Whether the channel has ever belonged to any vessel. */
  everAssigned(device: string, channel: string): boolean {
    return this.#rows(device, channel).length > 0
  }

  /** All assignments of a vessel, by rising start. */
  of(vesselId: string): AssignmentRow[] {
    return [...this.#byChannel.values()]
      .flatMap(channels => [...channels.values()].flat())
      .filter(row => row.vesselId === vesselId)
      .sort((a, b) => a.fromMs - b.fromMs)
  }

  /** What to read from the store for a vessel's role over a span. */
  sources(vesselId: string, role: Role, fromMs: number, toMs: number): Source[] {
    return this.of(vesselId)
      .filter(row => row.role === role && row.fromMs < toMs && endMs(row) > fromMs)
      .map(row => ({
        device: row.device,
        channel: row.channel,
        offset: row.offset,
        ...(row.gain === undefined ? {} : { gain: row.gain }),
        fromMs: Math.max(fromMs, row.fromMs),
        toMs: Math.min(toMs, endMs(row)),
      }))
  }

  #rows(device: string, channel: string): readonly AssignmentRow[] {
    return this.#byChannel.get(device)?.get(channel) ?? NONE
  }
}

/** Of one channel's assignments the one that held at a moment. */
export function holdingAt(rows: readonly AssignmentRow[], atMs: number): AssignmentRow | undefined {
  // Mostly it is the newest.
  for (let i = rows.length - 1; i >= 0; i--) {
    const row = rows[i]!
    if (row.fromMs <= atMs && atMs < endMs(row)) return row
  }
  return undefined
}

const NONE: readonly AssignmentRow[] = []

function endMs(row: AssignmentRow): number {
  return row.toMs ?? Number.MAX_SAFE_INTEGER
}
