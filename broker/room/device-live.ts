import type { DeviceReport, PlacedPack } from '../intake/reading.ts'
import type { AssignmentRow, DeviceRow, LatestRow, Sample } from '../store/contract.ts'
import type { DeviceView } from './views.ts'
import { UsualGap } from './watch/usual-gap.ts'

/** How many channels of one device are listed. More are kept in the store all the same. */
const CHANNELS_LISTED = 64

/** What stands in a report that says no more than that the device came. */
const OF_EVERY_REPORT: ReadonlySet<string> = new Set(['device', 'online', 'receivedAtMs'])

/** One device as it was last heard. */
export class DeviceLive {
  row: DeviceRow
  online = false
  lastHeardAtMs: number | null = null
  /** When a code was last redeemed for it; not kept over a start. */
  pairedAtMs: number | null = null
  /** Something changed that nobody has been told yet. */
  changed = true
  readonly usualGap = new UsualGap()
  #report: DeviceReport | null = null
  readonly #channels = new Map<string, { unit: string; latest: Sample }>()

  constructor(row: DeviceRow) {
    this.row = row
  }

  restore(latest: LatestRow): void {
    this.#channels.set(latest.channel, { unit: latest.unit, latest })
    this.lastHeardAtMs = Math.max(this.lastHeardAtMs ?? 0, latest.atMs)
  }

  /** Takes in a pack; true when it brought a channel that was not known. */
  hear(pack: PlacedPack): boolean {
    this.online = this.row.revokedAtMs === null
    this.changed = true
    this.#heardAt(pack.receivedAtMs)
    let isNew = false
    for (const reading of pack.readings) {
      const known = this.#channels.get(reading.channel)
      if (known === undefined) {
        if (this.#channels.size >= CHANNELS_LISTED) continue
        isNew = true
        this.#channels.set(reading.channel, { unit: reading.unit, latest: reading })
      } else if (known.latest.atMs <= reading.atMs) {
        known.unit = reading.unit
        known.latest = reading
      }
    }
    return isNew
  }

  /** The clock was set back by `byMs`, below 0. */
  setBack(byMs: number): void {
    if (this.lastHeardAtMs !== null) this.lastHeardAtMs += byMs
    this.usualGap.setBack(byMs)
    for (const known of this.#channels.values())
      known.latest = { ...known.latest, atMs: known.latest.atMs + byMs }
    this.changed = true
  }

  /** The newest sample of a channel, as measured. */
  newest(channel: string): Sample | undefined {
    const latest = this.#channels.get(channel)?.latest
    return latest && sampleOf(latest)
  }

  describe(report: DeviceReport): void {
    this.changed = true
    this.online = report.online && this.row.revokedAtMs === null
    if (report.online) {
      // That it has connected says nothing of it: what it said before stands until it says more.
      if (Object.keys(report).some(field => !OF_EVERY_REPORT.has(field))) this.#report = report
      this.#heardAt(report.receivedAtMs)
    }
  }

  #heardAt(atMs: number): void {
    this.lastHeardAtMs = Math.max(this.lastHeardAtMs ?? 0, atMs)
    this.usualGap.hear(atMs)
  }

  #startedAtMs(): number | null {
    const { uptimeS, receivedAtMs } = this.#report ?? {}
    return uptimeS === undefined || receivedAtMs === undefined ? null : receivedAtMs - uptimeS * 1000
  }

  view(assigned: (device: string, channel: string) => AssignmentRow | undefined): DeviceView {
    return {
      row: this.row,
      online: this.online,
      lastHeardAtMs: this.lastHeardAtMs,
      pairedAtMs: this.pairedAtMs,
      firmware: this.#report?.firmware ?? null,
      rssiDbm: this.#report?.rssiDbm ?? null,
      uptimeS: this.#report?.uptimeS ?? null,
      backlog: this.#report?.backlog ?? null,
      startedAtMs: this.#startedAtMs(),
      dropped: this.#report?.dropped ?? null,
      resetReason: this.#report?.resetReason ?? null,
      clockErrorMs: this.#report?.clockErrorMs ?? null,
      freeBytes: this.#report?.freeBytes ?? null,
      configRevision: this.#report?.configRevision ?? null,
      channels: [...this.#channels].map(([name, { unit, latest }]) => {
        const assignment = assigned(this.row.name, name)
        return {
          name,
          unit,
          latest: sampleOf(latest),
          assignedTo: assignment ? { vesselId: assignment.vesselId, role: assignment.role } : null,
        }
      }),
    }
  }
}

function sampleOf({ atMs, value, quality }: Sample): Sample {
  return { atMs, value, quality }
}
