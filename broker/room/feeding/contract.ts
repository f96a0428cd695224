import type {
  Cohort,
  ColdStorage,
  Feeding as Meal,
  HeldFood,
  Plan,
  PlanLot,
  WakeHours,
} from '../../plan/contract.ts'
import type { BatchRow } from '../../store/contract.ts'
import type { ReadyDraw } from '../books/contract.ts'
import type { StandingDanger } from './danger.ts'

/** The feeding plan of a room: who is to be fed, how the person lives, and the plan that follows. */
export interface Feeding {
  cohorts(): Promise<Cohort[]>
  keepCohort(id: string | null, fields: CohortFields): Promise<Cohort>
  dropCohort(id: string): Promise<void>
  preferences(): PlanPreferences
  changePreferences(wanted: PlanPreferences): Promise<PlanPreferences>
  /** The plan as of now: made anew if anything that it rests on has changed. */
  plan(): Promise<PlanView>
  /** Starts what the plan has for it, as planned, now. */
  startPlanned(id: string, note?: string): Promise<BatchRow>
  readonly given: Given
  /** A new private address for calendars; the one before is of no use any more. Shown once: only its hash is kept. */
  newCalendarKey(): Promise<string>
  dropCalendarKey(): Promise<void>
  hasCalendarKey(): Promise<boolean>
  knowsCalendarKey(key: string): Promise<boolean>
  /** Called with each new plan. */
  onPlan(listener: (plan: PlanView) => void): () => void
  /** Time passes: makes the plan anew when it is due. */
  tick(): void
  close(): Promise<void>
}

export type CohortFields = Omit<Cohort, 'id' | 'enteredMs'>

export interface PlanPreferences {
  /** IANA name. */
  readonly zone: string
  readonly wake: WakeHours
  readonly gramStep: number
  readonly spare: number
  readonly cold: ColdStorage | null
  readonly days: number
  readonly turnroundMin: number
  readonly maxGpl: number
}

/** Why the plan was made anew. */
export const PlanCause = {
  first: 'first',
  cohorts: 'cohorts',
  preferences: 'preferences',
  /** A batch was started, ended, changed or discarded, or a vessel was. */
  batches: 'batches',
  forecast: 'forecast',
  /** An alarm came that may cost a batch, or went. */
  alarms: 'alarms',
  /** A feeding was ticked off, or taken back. */
  fed: 'fed',
  time: 'time',
} as const
export type PlanCause = (typeof PlanCause)[keyof typeof PlanCause]

/** What is otherwise than in the plan before. */
export type PlanChange =
  | { readonly kind: 'start-added' | 'start-dropped'; readonly vesselId: string; readonly atMs: number }
  | {
      readonly kind: 'start-moved' | 'harvest-moved'
      readonly vesselId: string
      readonly atMs: number
      readonly fromMs: number
    }
  | { readonly kind: 'meal-lacks' | 'meal-met'; readonly feedingId: string; readonly atMs: number }

export interface PlanView extends Plan {
  readonly computedAtMs: number
  readonly tookMs: number
  readonly untilMs: number
  readonly causes: readonly PlanCause[]
  readonly changes: readonly PlanChange[]
  readonly preferences: PlanPreferences
  readonly cohorts: readonly Cohort[]
  readonly vessels: readonly { readonly id: string; readonly name: string; readonly litres: number }[]
  readonly lots: readonly PlanLot[]
  /** What was in the refrigerator, how much of it the plan feeds, and until when it keeps. */
  readonly held?: readonly {
    readonly id: string
    readonly nauplii: number
    readonly used: number
    readonly untilMs: number | null
  }[]
  /** What the vessels are called that portions and feedings came out of, by the ids of the portions and batches. */
  readonly sources?: Readonly<Record<string, string>>
  /** Feedings whose time has come and that nobody ticked off, the oldest first. */
  readonly open: readonly Meal[]
  /** What was given within the last day and a half, those taken back among them. */
  readonly fed: readonly GivenFeeding[]
  readonly running: readonly {
    readonly id: string
    readonly vesselId: string
    readonly startedAtMs: number
    readonly readyMs: number
    /** An alarm that may cost it. */
    readonly danger: StandingDanger | null
  }[]
}

/** What is on the shelf and in the refrigerator. */
export interface Pantry {
  lots(): Promise<readonly PlanLot[]>
  held(): Promise<readonly HeldFood[]>
  /** Which vessel each portion came out of, those that were used up lately among them. */
  portions?(): Promise<readonly { readonly id: string; readonly vesselId: string }[]>
  /** A draw from a portion to feed, all that is left of it where no number is known: checked, and made by `keep`. */
  ready?(heldId: string, drawn: { nauplii: number | null; atMs: number; by: string }): Promise<ReadyDraw>
  /** A draw that is taken back by `keep`. */
  readyUndraw?(heldId: string, drawId: string): Promise<ReadyDraw>
}

/** What a feeding was taken from. */
export const FedFrom = { held: 'held', batch: 'batch', other: 'other' } as const
export type FedFrom = (typeof FedFrom)[keyof typeof FedFrom]

/** What of a feeding came from one source. */
export interface FeedingPart {
  readonly from: FedFrom
  /** Of the portion or the batch. */
  readonly fromId: string | null
  /** `null`: nobody counted. */
  readonly nauplii: number | null
}

/** A feeding that was given. */
export interface GivenFeeding {
  readonly id: string
  readonly cohortId: string
  /** The meal that it was; `null` for one beside the plan. */
  readonly mealId: string | null
  readonly dueAtMs: number | null
  readonly atMs: number
  readonly recordedAtMs: number
  readonly by: string
  /** All together; `null`: nobody counted. */
  readonly nauplii: number | null
  /** Of several sources the first. */
  readonly from: FedFrom
  /** Of the portion or the batch. */
  readonly fromId: string | null
  /** Each source with what came from it, and what it wrote there: a draw, or an entry of the batch's log. */
  readonly parts: readonly (FeedingPart & { readonly wrote: string | null })[]
  /** It was a part of its feeding: the rest of it is still to be given. */
  readonly more?: boolean
  readonly withdrawnAtMs: number | null
}
/** A feeding of more sources is refused. Own choice: more than a person draws on. */
export const MOST_PARTS = 12
export type NewFeeding = {
  readonly cohortId: string
  readonly mealId?: string | null
  readonly atMs?: number
  readonly by: string
  /** Fewer were given than are due, and the rest is still to be given; otherwise the feeding is done with this. */
  readonly more?: boolean
} & (
  | { readonly nauplii: number | null; readonly from: FedFrom; readonly fromId?: string | null }
  | { readonly parts: readonly FeedingPart[] }
)
export interface Given {
  list(fromMs: number): Promise<GivenFeeding[]>
  /** Ticks a feeding off: what it was taken from has so many fewer. From several sources all is taken, or nothing. */
  give(feeding: NewFeeding): Promise<GivenFeeding>
  /** Takes it back, and what it took with it: it stays in the log. */
  withdraw(id: string): Promise<GivenFeeding>
  /** Those whose time has come and that were not given. */
  open(): Promise<Meal[]>
}
