import type { Cohort, ColdStorage, HeldFood, Plan, PlanLot, WakeHours } from '../../plan/contract.ts'
import type { BatchRow } from '../../store/contract.ts'

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

export type CohortFields = Omit<Cohort, 'id'>

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
  readonly running: readonly {
    readonly id: string
    readonly vesselId: string
    readonly startedAtMs: number
    readonly readyMs: number
  }[]
}

/** What is on the shelf and in the refrigerator. */
export interface Pantry {
  lots(): Promise<readonly PlanLot[]>
  held(): Promise<readonly HeldFood[]>
}
