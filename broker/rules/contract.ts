import type { Quality } from '../intake/reading.ts'
import type { Stage } from '../hatch/contract.ts'
import type { OxygenLeft } from '../hatch/oxygen/minutes-left.ts'
import type { Alarm, Priority, RuleName } from './alarm.ts'
import type { VesselMemory } from './memory.ts'

/** One rule's settings; every rule has all of them. Units: `limit` and `deadband` in the rule's own unit. */
export interface RuleSettings {
  readonly enabled: boolean
  /** °C, l/min per litre of water, lx, or seconds of silence; unused (0) for probe-fault. */
  readonly limit: number
  /** How far back inside the limit the value must be to count as normal again. */
  readonly deadband: number
  readonly onDelayMs: number
  readonly offDelayMs: number
  readonly priority: Priority
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
  } | null
  /** Which roles have a channel assigned. */
  readonly assigned: { readonly water: boolean; readonly air: boolean; readonly light: boolean }
}

/** What happens to a vessel, in the order of event time. */
export type VesselEvent =
  | {
      readonly kind: 'reading'
      readonly role: 'water' | 'air' | 'light'
      /** Kept unit, calibration applied. */
      readonly value: number | null
      readonly quality: Quality
      readonly atMs: number
    }
  /** The vessel's device was heard, whatever it said. */
  | { readonly kind: 'heard'; readonly atMs: number }
  /** Time passed with nothing else. */
  | { readonly kind: 'tick'; readonly atMs: number }
  | { readonly kind: 'acknowledge'; readonly rule: RuleName; readonly by: string; readonly atMs: number }

/** A change of one alarm: what it is now. `raised` is true on the step that raised it. */
export interface Transition {
  readonly alarm: Alarm
  readonly raised: boolean
}

/** What `judge` answers: the memory to go on with, and what changed, in the order of time. */
export interface Judgement {
  readonly memory: VesselMemory
  readonly transitions: readonly Transition[]
}
