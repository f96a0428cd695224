import type { RuleName } from '../../rules/alarm.ts'
import type { RuleSettings } from '../../rules/contract.ts'
import type { RoomSettings } from '../../room/contract.ts'
import type { TryOutState } from '../contract.ts'

/** Looking for the setting that would have called sooner over one batch, and not falsely on others. Times are Unix ms. */

/** Which of a rule's settings is turned. */
export const Knob = {
  enabled: 'enabled',
  limit: 'limit',
  onDelay: 'onDelayMs',
  leastCost: 'leastCostMs',
} as const
export type Knob = (typeof Knob)[keyof typeof Knob]

/** One rule with one setting turned, towards calling sooner. */
export interface Proposal {
  readonly rule: RuleName
  readonly knob: Knob
  /** All of the rule's settings with it. */
  readonly setting: RuleSettings
}

export interface SoonerAsk {
  readonly batchId: string
  readonly settings: RoomSettings
  /** The rules that watch what spoilt it. */
  readonly rules: readonly RuleName[]
  readonly damageAtMs: number
  /** The person's other batches, the newest first: none of them may get a call that it has not. */
  readonly others: readonly string[]
  /** How far an open batch has come. */
  readonly nowMs: number
}

/** A setting and what would have come of it. */
export interface SoonerCall {
  readonly proposal: Proposal
  readonly calledAtMs: number
  /** How much sooner than with the settings as they are, ms; `null` where these do not call at all. */
  readonly gainedMs: number | null
}

export interface Sooner {
  /** With the settings as they are: when one of the rules calls for it, and which; `null` when none does. */
  readonly now: { readonly rule: RuleName; readonly calledAtMs: number } | null
  /** The one that gains the most and calls for nothing else. */
  readonly found: SoonerCall | null
  /** One that gains more, and would have called on another batch too; the first such of those with the greatest gain. */
  readonly refused: (SoonerCall & { readonly batchId: string; readonly newCalls: number }) | null
  /** How many settings were tried on the batch. */
  readonly tried: number
  /** On how many of the other batches what was found was lived through; those without readings do not count. */
  readonly checked: number
  /** The time was up before all were looked at. */
  readonly cut: boolean
}

export interface SoonerView {
  readonly state: TryOutState
  /** 0 to 1. */
  readonly progress: number
  readonly result: Sooner | null
  /** Why it failed, in plain words. */
  readonly error: string | null
}

/** Where such searches are asked for: beside everything else, one after the other; what was found is kept. */
export interface SoonerDesk {
  /** Begins, or gives what is under way or was found for the very same question; `null` when as many wait as may. */
  start(ask: SoonerAsk): SoonerView | null
  /** `undefined` for what was never asked, or is forgotten. */
  find(ask: SoonerAsk): SoonerView | undefined
  cancel(ask: SoonerAsk): SoonerView | undefined
}

/** The newest so many other batches are looked at: some weeks of a house with a few vessels. Own choice. */
export const MOST_OTHERS = 12
