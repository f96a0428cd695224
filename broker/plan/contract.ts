import type { Band, HarvestGoal } from '../hatch/contract.ts'
import type { CountedSoFar } from '../hatch/lot/counted-so-far.ts'

/**
 * What the feeding plan takes and gives. Times are Unix ms, times of day `HH:MM` in `zone`, ages of nauplii hours at hatching
 * temperature (27 °C, see `hatch/population/age.ts`), so that cold nauplii do not age.
 */
export interface PlanInput {
  readonly nowMs: number
  /** Feedings up to here are planned. */
  readonly untilMs: number
  /** IANA name of the zone that times of day are in. */
  readonly zone: string
  readonly wake: WakeHours
  readonly cohorts: readonly Cohort[]
  readonly vessels: readonly PlanVessel[]
  readonly lots: readonly PlanLot[]
  /** What a batch would do, for each vessel and lot that may meet; a pair without one is not planned. */
  readonly outlooks: readonly Outlook[]
  readonly running: readonly RunningBatch[]
  readonly held: readonly HeldFood[]
  /** `null`: nothing is held cold. */
  readonly cold: ColdStorage | null
  /** Doses are whole multiples of this, g: what the person can weigh or spoon. */
  readonly gramStep: number
  /** More nauplii are planned for than are eaten: 0.1 is a tenth more. */
  readonly spare: number
  /** Starts and harvests are looked for at each so many minutes of the clock; 30 when left out. */
  readonly gridMin?: number
  /** Feedings that were given already, by their ids: ahead of their time they are not planned again. */
  readonly given?: readonly string[]
  /** Of feedings that were given in part, so many are still to be given; by their ids. */
  readonly rest?: Readonly<Record<string, number>>
  /** Feedings that were due, were not given and can still be: they are planned as of now. */
  readonly late?: readonly Feeding[]
}

/** When the person is up; `until` may be past midnight. */
export interface WakeHours {
  readonly from: string
  readonly until: string
}

/** Which nauplii a cohort can eat. */
export type FoodAge =
  /** Before they moult: the smallest. */
  | { readonly kind: 'instar-1' }
  /** Up to so many hours. */
  | { readonly kind: 'up-to'; readonly hours: number }

/** Fry of one age that are fed alike. */
export interface Cohort {
  readonly id: string
  readonly name: string
  readonly species: string
  readonly fry: number
  /** When they are 0 days old: as they first eat, or as the person counts. */
  readonly bornMs: number
  /** Nauplii a fry a day, from an age in days on; rising ages. Before the first age they are not fed. */
  readonly ration: readonly { readonly fromDay: number; readonly naupliiPerFry: number }[]
  /** The day's ration is split evenly over these. */
  readonly times: readonly string[]
  readonly food: FoodAge
  /** Fed no more from here on. */
  readonly endsMs: number | null
  /** When it was written down: none of its feedings up to then was ever asked for. All of them when left out. */
  readonly enteredMs?: number
}

export interface PlanVessel {
  readonly id: string
  readonly name: string
  /** Water of a batch, l. */
  readonly litres: number
  /** When it may be started, apart from the batch in it. */
  readonly freeFromMs: number
  /** From the harvest to the next start. */
  readonly turnroundMin: number
  /** Most cysts, g/l. */
  readonly maxGpl: number
}

export interface PlanLot {
  readonly id: string
  readonly name: string
  /** `null`: not known, taken as enough. */
  readonly gramsLeft: number | null
  /** What it is taken to give, to be told with the plan: the plan itself goes by its outlooks. */
  readonly gives?: {
    /** From a gram in the end, as learnt. */
    readonly naupliiPerG: number
    readonly counted: CountedSoFar | null
  }
}

/** What a batch of a lot in a vessel does, for one goal. */
export interface Outlook {
  readonly vesselId: string
  readonly lotId: string
  readonly goal: HarvestGoal
  /** Hours from start to harvest. */
  readonly readyH: Band
  /** Age of its mean nauplius at the harvest, h. */
  readonly ageH: number
  /** How fast nauplii age in the vessel, hours an hour: 1 at 27 °C. */
  readonly ageing: number
  /** Nauplii of a gram that are there at the harvest. */
  readonly naupliiPerG: number
  /** What they are worth from then on; left out, nothing is told of it. */
  readonly afterBest?: AfterBest
}

/** What a batch in its vessel is worth at whole hours from its best moment on; the first is that moment. */
export interface AfterBest {
  /** Energy of the mean nauplius, as a share of what it hatched with. */
  readonly energy: readonly number[]
  /** Usable food of all of them, as a share of that at the best moment. */
  readonly food: readonly number[]
}

/** An alarm that stands on a vessel and may cost the batch in it. */
export interface Danger {
  readonly alarmId: string
}

export interface RunningBatch {
  readonly id: string
  readonly vesselId: string
  readonly ready: Band
  /** Where its harvest window begins; never before `ready` when left out. */
  readonly fromMs?: number
  /** Where its harvest window ends; it is begun later only where all of the window falls into the night. Any time when left out. */
  readonly untilMs?: number
  readonly ageH: number
  readonly ageing: number
  readonly nauplii: number
  /** What it gives once all that will have hatched; left out where it was counted. */
  readonly inTheEnd?: number
  /** From where to where `nauplii` may be, where nothing of its lot was ever counted; left out otherwise. */
  readonly uncounted?: { readonly least: number; readonly most: number }
  readonly afterBest?: AfterBest
  /** `null` or left out: nothing stands against it. */
  readonly danger?: Danger | null
}

/** Nauplii in the refrigerator. */
export interface HeldFood {
  readonly id: string
  readonly name: string
  readonly nauplii: number
  /** When they were put in. */
  readonly ageH: number
  readonly heldSinceMs: number
  /** Energy then, as a share of what they hatched with, and the refrigerator's temperature, °C; left out, nothing is told of it. */
  readonly energyAtTaking?: number
  readonly coldC?: number
}

export interface ColdStorage {
  /** They keep so long, h. */
  readonly keepsH: number
  /** Share alive after that time, falling evenly to it. */
  readonly survival: number
}

/** One meal of one cohort. */
export interface Feeding {
  readonly id: string
  readonly cohortId: string
  readonly atMs: number
  /** Without the spare. */
  readonly nauplii: number
  readonly limitH: number
}

export const SourceKind = { planned: 'planned', running: 'running', held: 'held' } as const
export type SourceKind = (typeof SourceKind)[keyof typeof SourceKind]

/** A part of a meal. */
export interface Serving {
  readonly source: SourceKind
  /** Of the planned start, the running batch or the held food. */
  readonly sourceId: string
  readonly nauplii: number
  /** Hours warm. */
  readonly ageH: number
  /** And held cold, h. */
  readonly coldH: number
  /** Energy of the mean nauplius when it is fed, as a share of what it hatched with, where that is known. */
  readonly energyLeft?: number
  /** The batch may well not be ready by then. */
  readonly tight: boolean
}

export interface FedMeal extends Feeding {
  /** With the spare. */
  readonly wanted: number
  readonly servings: readonly Serving[]
  /** Nauplii that are lacking of what is wanted, 0 when it is met. */
  readonly lacking: number
}

/** A batch to be started. */
export interface PlannedStart {
  readonly id: string
  readonly vesselId: string
  readonly lotId: string
  readonly goal: HarvestGoal
  readonly startMs: number
  readonly grams: number
  readonly nauplii: number
  readonly ready: Band
  readonly harvestMs: number
  /** When the vessel may be started again. */
  readonly freeMs: number
  readonly nightStart: boolean
  readonly nightHarvest: boolean
  readonly pastBest?: PastBest
}

/** Food that a harvest loses by coming after the batch's best moment. */
export interface PastBest {
  readonly hours: number
  /** Of the usable food at the best moment, 0 to 1. */
  readonly lost: number
}

/** When a running batch is best taken off. */
export interface PlannedHarvest {
  readonly batchId: string
  readonly vesselId: string
  readonly harvestMs: number
  /** When it is begun: drawn from meal by meal where nothing is held cold, it ends later. */
  readonly firstMs: number
  readonly nauplii: number
  /** As of its batch. */
  readonly inTheEnd?: number
  /** As of its batch. */
  readonly uncounted?: { readonly least: number; readonly most: number }
  readonly used: number
  readonly night: boolean
  /** It is begun after its window, which falls into the night. */
  readonly late: boolean
  readonly pastBest?: PastBest
}

/** Why a meal lacks nauplii, or may. */
export const RiskKind = {
  /** No start from now on is ready by then. */
  tooSoon: 'too-soon',
  shortOfCysts: 'short-of-cysts',
  noVessel: 'no-vessel',
  noOutlook: 'no-outlook',
  /** It is met from a batch that may well not be ready. */
  batchLate: 'batch-late',
  /** An alarm stands on the vessel that it is met from. */
  inDanger: 'in-danger',
} as const
export type RiskKind = (typeof RiskKind)[keyof typeof RiskKind]

/** What would help most simply. */
export type Remedy =
  | { readonly kind: 'more-cysts'; readonly lotId: string; readonly grams: number }
  | {
      readonly kind: 'older-food'
      readonly source: SourceKind
      readonly sourceId: string
      readonly ageH: number
      readonly nauplii: number
    }
  /** From then on there is food: from the harvest of this batch, or planned start. */
  | { readonly kind: 'feed-later'; readonly atMs: number; readonly sourceId: string }
  | { readonly kind: 'more-litres'; readonly litres: number }
  /** Begin another batch for it now, ready at `readyMs`: `feedingsMet` of the feedings at risk are then still to come. */
  | {
      readonly kind: 'start-spare'
      readonly vesselId: string
      readonly lotId: string
      readonly grams: number
      readonly readyMs: number
      readonly feedingsMet: number
    }
  /** It is ready: taken off now, nothing can happen to it. */
  | { readonly kind: 'harvest-now'; readonly vesselId: string }
  /** A vessel stands empty, but a spare begun in it now would be in the way of the batch that is planned in it. */
  | { readonly kind: 'vessel-needed'; readonly vesselId: string; readonly startMs: number }
  /** A vessel stands empty, but what is left of the cysts is needed for what is planned. */
  | { readonly kind: 'no-cysts' }
  | { readonly kind: 'none' }

export interface Risk {
  readonly kind: RiskKind
  readonly feedingIds: readonly string[]
  readonly lacking: number
  readonly sourceId: string | null
  readonly remedy: Remedy
}

export interface Plan {
  readonly starts: readonly PlannedStart[]
  readonly harvests: readonly PlannedHarvest[]
  readonly meals: readonly FedMeal[]
  readonly risks: readonly Risk[]
  readonly grams: number
  readonly lacking: number
  readonly nightStarts: number
  readonly nightHarvests: number
  readonly proof: Proof
}

/** How good the plan is known to be. */
export interface Proof {
  /** No plan on the grid lacks less, and none that lacks as little needs fewer cysts by more than `gap`. */
  readonly optimal: boolean
  /** The plan's cysts are above the least possible by this share at most. */
  readonly gap: number
  /** No plan whatever meets as much with fewer grams. */
  readonly leastG: number
  /** Starts are looked for at steps of so many minutes. */
  readonly gridMin: number
}
