import type { CleaningDue, CleaningHow, CleaningPolicy } from '../../hatch/care/cleaning.ts'
import type { HarvestGoal } from '../../hatch/contract.ts'
import type { HeldState } from '../../hatch/holding/holding.ts'
import type { NaupliiAge } from '../../hatch/holding/nauplii-age.ts'
import type { ControlChart } from '../../hatch/lot/control-chart.ts'
import type { ChartOf } from '../../hatch/lot/harvests.ts'
import type { LotQuality } from '../../hatch/lot/quality.ts'
import type { KeptIn, UseBy } from '../../hatch/lot/use-by.ts'
import type { Reminder } from '../../rules/reminders.ts'
import type { BatchEvent } from '../event-contract.ts'
import type { LotView } from '../views.ts'
import type { Photos } from './photos.ts'
import type { Tables } from './tables/contract.ts'

/**
 * What a breeder's notebook holds beside the batches themselves: the lots on the shelf, own recipes, walks that are under way, what is
 * held cold, what was cleaned, photos. Times are Unix ms, dates `2026-11-25`.
 */
export interface Books {
  readonly lots: Lots
  readonly presets: Presets
  readonly walks: Walks
  readonly held: Held
  readonly cleaning: Cleaning
  readonly photos: Photos
  readonly tables: Tables
  /** What two taps would start in a vessel. */
  usual(vesselId: string): Promise<Usual>
  /** What the books ask to be done at a moment, whether it is due or not; from what they knew when they were last looked through. */
  reminders(nowMs: number): readonly Reminder[]
  /** Looks them through anew, so that reminders are up to date. */
  refresh(): Promise<void>
}

export interface LotFields {
  readonly name: string
  readonly openedOn: string | null
  readonly keptIn: KeptIn | null
  readonly gramsBought: number | null
  readonly bestBefore: string | null
  readonly note: string | null
}
export interface LotRecord extends LotFields {
  readonly id: string
  readonly createdAtMs: number
  /** When it was put away: used up, or thrown away. */
  readonly endedAtMs: number | null
}
export interface Weighing {
  readonly id: string
  readonly atMs: number
  readonly recordedAtMs: number
  readonly by: string
  readonly gramsLeft: number
  readonly withdrawnAtMs: number | null
}
export interface LotOnShelf extends LotRecord {
  readonly gramsLeft: number | null
  readonly drawnG: number
  readonly isOverdrawn: boolean
  readonly useBy: UseBy | null
  /** What is known of it from its batches; `null` while none was started. */
  readonly learned: LotView | null
  /** What to make of it, from what is known and its date. */
  readonly quality: LotQuality
}
export interface LotDetail extends LotOnShelf {
  /** Which of the charts its verdict goes by. */
  readonly judgedBy: ChartOf
  readonly charts: Readonly<Record<ChartOf, LotChart>>
  readonly weighings: readonly Weighing[]
}
export interface LotChart {
  readonly chart: ControlChart
  /** The batch of each value, in its order. */
  readonly batchIds: readonly string[]
}
export interface Lots {
  /** The one used last first; those put away at the end. */
  list(): Promise<LotOnShelf[]>
  lot(id: string): Promise<LotDetail>
  add(fields: LotFields): Promise<LotOnShelf>
  change(id: string, change: Partial<LotFields> & { putAway?: boolean }, by: string): Promise<LotOnShelf>
  weigh(id: string, weighed: { gramsLeft: number; atMs?: number; by: string }): Promise<Weighing>
  withdrawWeighing(id: string, weighingId: string): Promise<Weighing>
}

export interface PresetFields {
  readonly name: string
  /** Of one vessel; `null` for any. */
  readonly vesselId: string | null
  readonly litres: number
  readonly cystsG: number
  readonly salinityGpl: number
  readonly goal: HarvestGoal
}
export interface Preset extends PresetFields {
  readonly id: string
}
export interface Presets {
  list(): Promise<Preset[]>
  keep(id: string | null, fields: PresetFields): Promise<Preset>
  drop(id: string): Promise<void>
}

/** What the usual batch is taken from. */
export const UsualFrom = {
  preset: 'preset',
  lastHere: 'last-here',
  lastElsewhere: 'last-elsewhere',
  recipe: 'recipe',
} as const
export type UsualFrom = (typeof UsualFrom)[keyof typeof UsualFrom]
/** Whose the lot is: of the last batch in this vessel, of the last elsewhere, or the one on the shelf that is to be used first. */
export const UsualLot = { lastHere: 'last-here', lastElsewhere: 'last-elsewhere', shelf: 'shelf' } as const
export type UsualLot = (typeof UsualLot)[keyof typeof UsualLot]
export interface Usual {
  readonly vesselId: string
  readonly from: UsualFrom
  /** The name of the own recipe that it is; left out where it is none. */
  readonly recipe?: string
  readonly litres: number
  readonly cystsG: number
  readonly salinityGpl: number
  readonly goal: HarvestGoal
  /** The lot to take; `null` where none holds enough, or none was ever named. */
  readonly lot: { readonly name: string; readonly gramsLeft: number | null } | null
  /** Why that lot; left out where none is taken. */
  readonly lotFrom?: UsualLot
  /** The vessel of the last batch elsewhere, where dose or lot are of that; left out where neither is. */
  readonly elsewhere?: string
  /** All lots that hold the dose, that of {@link Usual.lot} among them. */
  readonly lots: string[]
  /** No lot on the shelf holds the dose, though there are lots. */
  readonly lacksCysts: boolean
}

export const WalkKind = { setUp: 'set-up', harvest: 'harvest' } as const
export type WalkKind = (typeof WalkKind)[keyof typeof WalkKind]
export const WALK_STEPS = {
  'set-up': ['air', 'water', 'salt', 'buffer', 'warm', 'cysts'],
  harvest: ['share', 'air-off', 'light-below', 'settled', 'drawn-off', 'count', 'taken', 'air-on'],
} as const satisfies Record<WalkKind, readonly string[]>
export interface Walk {
  readonly id: string
  readonly kind: WalkKind
  readonly vesselId: string
  /** Of a harvest: the batch. */
  readonly batchId: string | null
  readonly startedAtMs: number
  readonly by: string
  /** When each step was ticked off. */
  readonly steps: Readonly<Record<string, number>>
  /** What was typed into its forms so far: opaque here. */
  readonly draft: Readonly<Record<string, unknown>>
  /** How often it was changed: of two views the one with more is the newer. */
  readonly changes: number
  /** Of a harvest with the air off: when all has settled. */
  readonly settlesAtMs: number | null
}
export interface NewWalk {
  readonly kind: WalkKind
  readonly vesselId: string
  readonly by: string
  readonly draft?: Readonly<Record<string, unknown>>
}
export interface Walks {
  /** Those under way. */
  list(): Promise<Walk[]>
  walk(id: string): Promise<Walk>
  /** Goes on with the one of this kind that is under way at the vessel, if there is one. */
  begin(input: NewWalk): Promise<Walk>
  step(id: string, input: { step: string; done: boolean; atMs?: number; by: string }): Promise<Walk>
  /** The whole of what was typed so far. */
  draft(id: string, draft: Readonly<Record<string, unknown>>): Promise<Walk>
  /** Some fields of it: the others stay, for somebody else may be typing those. */
  typed(id: string, fields: Readonly<Record<string, unknown>>): Promise<Walk>
  /** A set-up becomes a batch by what is in `batch`; a harvest ends its batch unless it is to stay open. Gives the batch's id. */
  finish(id: string, input: FinishWalk): Promise<{ readonly batchId: string }>
  abandon(id: string, by: string): Promise<void>
  /** Calls the listener with every change, once it is kept, until the returned function is called. */
  onChange(listener: (change: WalkChange) => void): () => void
}
export type WalkChange =
  | { readonly kind: 'walk'; readonly walk: Walk }
  /** Under way no more; `batchId`: what it became or was of, `null` for one that was given up. */
  | {
      readonly kind: 'walk-over'
      readonly walkId: string
      readonly vesselId: string
      readonly batchId: string | null
    }
export interface FinishWalk {
  readonly by: string
  readonly batch?: {
    readonly litres: number
    readonly cystsG: number
    readonly salinityGpl: number
    readonly lot?: string
    readonly goal?: HarvestGoal
    readonly note?: string
  }
  readonly endBatch?: boolean
  readonly note?: string
}

export type Takings = Extract<BatchEvent, { kind: 'taken' }>
export interface Draw {
  readonly id: string
  readonly atMs: number
  readonly recordedAtMs: number
  readonly by: string
  readonly for: 'fed' | 'discarded'
  /** `null`: all that was left. */
  readonly nauplii: number | null
  readonly withdrawnAtMs: number | null
}
/** Nauplii in the refrigerator: what was taken of a batch to be held, less what was drawn since. */
export interface HeldView {
  /** Of the entry in the batch's log. */
  readonly id: string
  readonly batchId: string
  readonly vesselId: string
  readonly lot: string | null
  readonly takenAtMs: number
  readonly by: string
  readonly coldC: number
  /** As they were put in; `null` where nobody counted. */
  readonly nauplii: number | null
  readonly left: number | null
  readonly isGone: boolean
  /** Put in before anything of its batch can have hatched: it is of another one, and nothing tells its age. */
  readonly isTooSoon: boolean
  /** When the first tenth had hatched, as it was reckoned. */
  readonly firstOutAtMs: number | null
  /** Of the mean nauplius as it was taken, h; `null` where no forecast tells since when they were out. */
  readonly meanAgeH: number | null
  /** The same, and where nothing tells it what is taken for it. */
  readonly ageAtTakingH: number
  /** How old the mean nauplius is now. */
  readonly age: NaupliiAge
  /** Energy of the mean nauplius as it was taken, as a share of what it hatched with. */
  readonly energyAtTaking: number
  readonly state: HeldState
  readonly draws: readonly Draw[]
}
export interface NewDraw {
  readonly for: 'fed' | 'discarded'
  /** `null`: all that is left. */
  readonly nauplii: number | null
  readonly atMs?: number
  readonly by: string
}
/** A draw that may be made, as far as can be told now. */
export interface ReadyDraw {
  readonly id: string
  keep(): Promise<void>
}
export interface Held {
  /** In the cold now, the oldest first; those gone within two weeks too when asked. */
  list(query?: { gone?: boolean }): Promise<HeldView[]>
  draw(id: string, input: NewDraw): Promise<HeldView>
  /** The same, checked and not written yet: what is kept in one turn is kept together, or not at all. */
  readyDraw(id: string, input: NewDraw): Promise<ReadyDraw>
  withdrawDraw(id: string, drawId: string): Promise<HeldView>
  /** The same, looked up and not written yet. */
  readyUndraw(id: string, drawId: string): Promise<ReadyDraw>
}

export interface CleaningEntry {
  readonly id: string
  readonly vesselId: string
  readonly atMs: number
  readonly recordedAtMs: number
  readonly by: string
  readonly how: CleaningHow
  readonly words: string | null
  readonly withdrawnAtMs: number | null
}
export interface CleaningView extends CleaningDue {
  readonly vesselId: string
  readonly isEmpty: boolean
  /** The newest, withdrawn ones among them. */
  readonly log: readonly CleaningEntry[]
}
export interface Cleaning {
  list(): Promise<CleaningView[]>
  clean(
    vesselId: string,
    input: { how: CleaningHow; atMs?: number; by: string; words?: string },
  ): Promise<CleaningEntry>
  withdraw(id: string): Promise<CleaningEntry>
  policy(): Promise<CleaningPolicy>
  changePolicy(policy: CleaningPolicy): Promise<CleaningPolicy>
}
