import { RuleName } from './alarm.ts'

/** The work on a vessel for which alarms are suppressed by design. */
export const HushReason = { harvest: 'harvest', setUp: 'set-up', calibration: 'calibration' } as const
export type HushReason = (typeof HushReason)[keyof typeof HushReason]

/** The work that goes on at a vessel. */
export interface Hush {
  readonly reason: HushReason
  readonly sinceMs: number
  /** It ends by itself then, Unix ms, exclusive. */
  readonly untilMs: number
  readonly by: string
}

/** Settling and drawing off take a quarter of an hour (10 minutes to settle: common practice); twice that is leeway. Own choices. */
export const USUAL_HUSH_MS = 30 * 60_000
export const MOST_HUSH_MS = 90 * 60_000

/** What work on a vessel disturbs: air off, lamp moved, water drawn or filled. Heat is told all the same. */
const AT_THE_VESSEL: ReadonlySet<RuleName> = new Set([
  RuleName.airLost,
  RuleName.airFading,
  RuleName.lightOut,
  RuleName.waterLevel,
])
/** A probe that hangs in ice or beside a thermometer tells nothing of the water; heat is told all the same. */
const OF_THE_PROBE: ReadonlySet<RuleName> = new Set([
  RuleName.probeOutOfWater,
  RuleName.probeFault,
  RuleName.waterTooCool,
])
const HUSHED: Readonly<Record<HushReason, ReadonlySet<RuleName>>> = {
  [HushReason.harvest]: AT_THE_VESSEL,
  [HushReason.setUp]: AT_THE_VESSEL,
  [HushReason.calibration]: OF_THE_PROBE,
}

/** Whether work on a vessel disturbs what the rule watches. */
export const isDisturbed = (rule: RuleName): boolean => Object.values(HUSHED).some(rules => rules.has(rule))

/** Whether the rule is suppressed for the work at this time. */
export function isHushed(hush: Hush | null, rule: RuleName, atMs: number): hush is Hush {
  return hush !== null && atMs < hush.untilMs && HUSHED[hush.reason].has(rule)
}
