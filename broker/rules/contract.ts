import type { Quality } from '../intake/reading.ts'
import type { Band, Stage } from '../hatch/contract.ts'
import type { OxygenLeft } from '../hatch/oxygen/minutes-left.ts'
import type { Alarm, Priority, RuleName } from './alarm.ts'
import type { HushReason } from './hush.ts'
import type { Lift, VesselMemory } from './memory.ts'
import type { JudgedRole } from './rule.ts'

/** One rule's settings; every rule has all of them. Units: `limit` and `deadband` in the rule's own unit. */
export interface RuleSettings {
  readonly enabled: boolean
  /**
   * °C; minutes ahead for water-heading-hot and past the window for harvest-missed; l/min per litre of water; per cent of the
   * settled air for air-fading and of where the water stood for water-level; lx; seconds of silence, of a commit or of a clock's jump. Unused (0) for the probe's rules,
   * disk-full and channel-failing.
   */
  readonly limit: number
  /** How far back inside the limit the value must be to count as normal again. */
  readonly deadband: number
  readonly onDelayMs: number
  readonly offDelayMs: number
  readonly priority: Priority
  /** Over, it stays up until a person resets it. None does from the start: in a fish room an alarm that went away needs no ceremony. */
  readonly latching?: boolean | undefined
  /** How long after its acknowledgement an alarm that still holds calls again, ms; 0 is never. Low priority never does. */
  readonly reAlarmMs?: number
  /** Of water-too-cool: what it must cost in later harvest before anybody is called, ms. */
  readonly leastCostMs?: number
  /** Of water-too-hot: it is called earlier by what the vessel's probe may read too little. Left out for yes. */
  readonly allowForProbe?: boolean | undefined
}
export type RulesSettings = Readonly<Record<RuleName, RuleSettings>>

/** What the rules need to know of a vessel, apart from its readings. */
export interface VesselFacts {
  readonly vesselId: string
  readonly name: string
  /** Litres of water: the batch's if one is open, else the vessel's. */
  readonly litres: number
  /** The open batch; `null` when there is none: then only heat and the probe are watched. */
  readonly batch: {
    readonly startedAtMs: number
    readonly stage: Stage
    /** How long the water's oxygen lasts without air, as of the newest forecast; left out when nothing is known of the water. */
    readonly oxygen?: OxygenLeft
    /** How much later the harvest comes for the water being cool since some time up to now, ms; left out without a forecast. */
    readonly coolCostMs?: number
    /** What the water is expected to be from now on, °C; left out without a forecast. */
    readonly expectedC?: number
    /** How long the harvest window has been over, ms, 0 while it is not; left out without a forecast. */
    readonly pastHarvestMs?: number
  } | null
  /** Where the water is going, as the vessel's own response tells; left out while it was not looked at. */
  readonly heading?: WaterHeading
  /** How the air has gone of late; left out while too little of it was measured. */
  readonly air?: AirCourse
  /** How high the water stands; left out while too little of it was measured. */
  readonly level?: LevelCourse
  /** What the water did since the light went out; left out while there is light. */
  readonly dark?: { readonly sinceMs: number; readonly fellC: number }
  /** Whether the lamp was seen to be the heater: the water fell when it went out. Left out while that is not known. */
  readonly lampHeats?: boolean
  /**
   * Whether another vessel whose air is watched has nauplii: what takes the air of several is then told of that one first. Left out
   * for no.
   */
  readonly naupliiElsewhere?: boolean
  /** The standard uncertainty of the water's probe, °C; left out while it was not calibrated. */
  readonly probeUncertaintyC?: number
  /** Which roles have a channel assigned. */
  readonly assigned: {
    readonly water: boolean
    readonly air: boolean
    readonly light: boolean
    /** Few vessels have one: left out for no. */
    readonly level?: boolean
  }
}

/** When the water was seen to cross its heat limit, looking at it once. */
export interface HeadingLook {
  readonly atMs: number
  /** `null`: not on this course. `p90` may be `Infinity`: perhaps never. */
  readonly at: Band | null
}

/** The last two looks, at least half a minute apart: one alone may be scatter. */
export interface WaterHeading {
  readonly limitC: number
  /** Water that was past the limit counts as back below this; the limit itself when left out. */
  readonly coolC?: number
  readonly newest: HeadingLook
  readonly before: HeadingLook | null
}

/** The air into a vessel over the last hours, l/min for each litre of water. */
export interface AirCourse {
  readonly now: number
  /** What it was when it last stood steady. */
  readonly settled: number
  /** How long it has been falling without a rise, ms; 0 when it does not. */
  readonly fallingMs: number
  /** How fast, l/min per litre and hour; 0 when it does not. */
  readonly fallPerH: number
}

/** How high the water of a vessel stands, as shares of a full one. */
export interface LevelCourse {
  readonly now: number
  /** The highest that it has stood at since the batch began, or since the last work on the vessel. */
  readonly stood: number
  /** How fast it falls, share of a full one an hour; 0 while it does not. */
  readonly fallPerH: number
}

/** What happens to a vessel, in the order of event time. */
export type VesselEvent =
  | {
      readonly kind: 'reading'
      readonly role: JudgedRole
      /** Kept unit, calibration applied. */
      readonly value: number | null
      readonly quality: Quality
      readonly atMs: number
    }
  /** The vessel's device was heard, whatever it said. */
  | { readonly kind: 'heard'; readonly atMs: number }
  /** Time passed with nothing else. */
  | { readonly kind: 'tick'; readonly atMs: number }
  | VesselAct

/** What a person does about a vessel's alarms, and what the room finds out about their causes. */
export type VesselAct =
  | {
      /** `take-out` and `put-back`: out of service and back. */
      readonly kind: 'acknowledge' | 'reset' | 'unshelve' | 'take-out' | 'put-back'
      readonly rule: RuleName
      readonly by: string
      readonly atMs: number
    }
  | {
      readonly kind: 'shelve'
      readonly rule: RuleName
      readonly by: string
      /** When it ends by itself at the latest; see `shelving.ts` for how long it may last. */
      readonly untilMs: number
      /** Until it returns to normal, and no longer than `untilMs`. */
      readonly once: boolean
      readonly atMs: number
    }
  /** Work begins at the vessel: what it disturbs is suppressed by design until `untilMs`. */
  | {
      readonly kind: 'hush'
      readonly reason: HushReason
      readonly untilMs: number
      readonly by: string
      readonly atMs: number
    }
  | { readonly kind: 'end-hush'; readonly by: string; readonly atMs: number }
  /** The standing alarm of a rule is a consequence of another one, or, with `null`, no longer. */
  | {
      readonly kind: 'cause'
      readonly rule: RuleName
      readonly causedBy: string | null
      /** When it had called last before a raising of this very moment, which is taken back. */
      readonly announcedAtMs?: number | null
      readonly atMs: number
    }
  /** What the loudest consequence of a rule's standing alarm tells, or, with `null`, that it has none. */
  | {
      readonly kind: 'lift'
      readonly rule: RuleName
      readonly lift: Lift | null
      /** It was raised at this very moment, and nobody has been told yet. */
      readonly isNew: boolean
      readonly atMs: number
    }

/** A change of one alarm: what it is now. `raised` is true on a step that calls: the raising, a worsening, a call again. */
export interface Transition {
  readonly alarm: Alarm
  readonly raised: boolean
}

/** What `judge` answers: the memory to go on with, and what changed, in the order of time. */
export interface Judgement {
  readonly memory: VesselMemory
  readonly transitions: readonly Transition[]
}
