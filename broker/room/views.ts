import type { Band, Forecast } from '../hatch/contract.ts'
import type { HatchCourse } from '../hatch/course.ts'
import type { LotSummary } from '../hatch/lot/summary.ts'
import type { DelayReason } from '../hatch/why.ts'
import type { Hush } from '../rules/hush.ts'
import type {
  AssignmentRow,
  BatchRow,
  Columns,
  DeviceRow,
  Role,
  Sample,
  VesselRow,
} from '../store/contract.ts'
import type { ExpectedThen } from './expected-then.ts'

/** A forecast with what the room knows around it. */
export interface BatchForecastView extends Forecast {
  /** How many nauplii the dose gives in the end. */
  readonly nauplii: Band
  /** The same by the lot's other batches alone: what was to be expected before anything was seen of this one. */
  readonly naupliiBefore?: Band
  /** And the share of its cysts that hatches in the end, likewise, 0 to 1. */
  readonly hatchShareBefore?: Band
  /** When somebody saw the first swimmers of this batch: the times lean on it. Left out while nobody did. */
  readonly firstSeenMs?: number
  /** What was seen last of its lot, where that moved its harvest within the last hours: by how much, and what was taken to be out before. */
  readonly moved?: {
    readonly kind: 'count' | 'first-swimmers'
    readonly atMs: number
    /** Where it was seen; `null` for this batch itself. */
    readonly vesselId: string | null
    readonly laterMs: number
    readonly hatchedBefore: Band
  }
  /** Whether any of its water was measured; all that was not is reckoned as planned. */
  readonly waterMeasured?: boolean
  readonly why: readonly DelayReason[]
  /** When the water crosses its heat limit on this course. */
  readonly heading: { readonly limitC: number; readonly at: Band } | null
  /** What the lot is known from. */
  readonly lot: { readonly name: string | null; readonly batches: number; readonly observations: number }
}

export interface LookBackQuery {
  /** How far its own span reaches, Unix ms: its end, or now. */
  readonly toMs: number
  /** Of the course, which goes on past the harvest. */
  readonly points: number
  /** Its water as it was read already, asked for in so many buckets from its start to its end. */
  readonly water?: Pick<Columns, 't' | 'mean'> & { readonly points: number }
}

/** A batch looked at again: its hatch as it is known now. */
export interface LookBack {
  readonly forecast: BatchForecastView
  readonly course: HatchCourse
  /** Nothing where its water was not given. */
  readonly expectedWater: ExpectedThen
}

export interface LotView {
  readonly name: string
  readonly batches: number
  readonly lastUsedAtMs: number
  readonly summary: LotSummary
}

export interface VesselView {
  readonly row: VesselRow
  readonly channels: Readonly<Record<Role, AssignmentRow | null>>
  /** Calibration applied. */
  readonly latest: Readonly<Record<Role, Sample | null>>
  readonly batch: BatchRow | null
  readonly forecast: BatchForecastView | null
  /** The work that goes on, for which alarms are suppressed; `null` for none. */
  readonly hush?: Hush | null
  /** How long each role may be silent by its own pace, ms, where that is more than a minute; none when left out. */
  readonly silentAfterMs?: Readonly<Partial<Record<Role, number>>>
}

export interface DeviceView {
  readonly row: DeviceRow
  readonly online: boolean
  readonly lastHeardAtMs: number | null
  /** When a code was last redeemed for it; not kept over a start. */
  readonly pairedAtMs?: number | null
  readonly firmware: string | null
  readonly rssiDbm: number | null
  readonly uptimeS: number | null
  readonly backlog: number | null
  /** When it was switched on or restarted, by its own word. */
  readonly startedAtMs?: number | null
  /** Readings that its full outbox had to drop. */
  readonly dropped?: number | null
  /** Why it started, in its own word. */
  readonly resetReason?: string | null
  /** How far its clock is ahead of ours; `null` for one that has none. */
  readonly clockErrorMs?: number | null
  /** Memory that it has free. */
  readonly freeBytes?: number | null
  /** Of the config by which it measures; `null` when it has not said. */
  readonly configRevision?: number | null
  readonly channels: readonly {
    readonly name: string
    readonly unit: string
    /** As measured, no calibration. */
    readonly latest: Sample
    readonly assignedTo: { readonly vesselId: string; readonly role: Role } | null
  }[]
}
