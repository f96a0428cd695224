import { type Alarm, AlarmState, RuleName } from './alarm.ts'
import type { RulesSettings } from './contract.ts'
import { isMoreUrgent } from './urgency.ts'

/** What the room knows of its vessels that tells a cause from a coincidence. */
export interface CauseFacts {
  readonly settings: RulesSettings
  vessel(id: string): VesselLinks | undefined
}

/** What a vessel hangs on. */
export interface VesselLinks {
  /** Whose channels are assigned to it. */
  readonly devices: readonly string[]
  /** Whether its lamp is its heater; left out while that is not known. */
  readonly lampHeats?: boolean | undefined
  /** Since when it has been dark, Unix ms; left out while there is light. */
  readonly darkSinceMs?: number | undefined
  /** When the newest reading of each role was taken, Unix ms; NaN for never. */
  readonly newestAtMs: { readonly water: number; readonly air: number; readonly light: number }
}

/**
 * What happened at one moment is seen within a minute: devices speak in turn. A consequence may be seen before its cause by as long
 * as the cause's own delay; cold that came earlier than that has another cause. Own choices.
 */
const TOGETHER_MS = 60_000
const COLD_BEFORE_MS = 20 * 60_000
const ROOM_COOLS_MS = 4 * 3_600_000

const R = RuleName
const ROLE: Readonly<Partial<Record<RuleName, 'water' | 'air' | 'light'>>> = {
  [R.waterHeadingHot]: 'water',
  [R.waterTooHot]: 'water',
  [R.waterTooCool]: 'water',
  [R.probeFault]: 'water',
  [R.probeOutOfWater]: 'water',
  [R.airLost]: 'air',
  [R.airFading]: 'air',
  [R.lightOut]: 'light',
}

/** Why one alarm is the consequence of another. */
interface Link {
  readonly causes: readonly RuleName[]
  readonly consequences: readonly RuleName[]
  /** Also when the consequence calls louder than its cause: it is not to be believed. */
  readonly disbelieved?: boolean
  holds(cause: Alarm, consequence: Alarm, facts: CauseFacts): boolean
}

/** Whether what the alarm tells of holds, as far as is known: what returned is no cause, nor what nobody watches. */
const isCause = ({ state }: Alarm): boolean =>
  state === AlarmState.unacknowledged ||
  state === AlarmState.acknowledged ||
  state === AlarmState.shelved ||
  state === AlarmState.suppressed

/** Whether the alarm calls, or would: what a person set aside is left as it is. */
const canBeConsequence = ({ state }: Alarm): boolean =>
  state === AlarmState.unacknowledged || state === AlarmState.acknowledged || state === AlarmState.suppressed

/**
 * Which standing alarm is a consequence of which: for each that is, the id of its cause. A cause that was once named is kept as long
 * as it holds. A consequence that calls louder than its cause is told all the same, unless the cause is why it is not to be believed.
 */
export function causesOf(alarms: readonly Alarm[], facts: CauseFacts): ReadonlyMap<string, string> {
  const causes = alarms.filter(isCause)
  const byId = new Map(causes.map(cause => [cause.id, cause]))
  const found = new Map<string, string>()
  for (const alarm of alarms) {
    if (!canBeConsequence(alarm)) continue
    const kept = alarm.causedBy === null ? undefined : byId.get(alarm.causedBy)
    const cause = kept && links(kept, alarm).length > 0 ? kept : firstCause(causes, alarm, facts)
    if (cause) found.set(alarm.id, cause.id)
  }
  return found
}

function firstCause(causes: readonly Alarm[], alarm: Alarm, facts: CauseFacts): Alarm | undefined {
  const fitting = LINKS.filter(link => link.consequences.includes(alarm.rule))
  for (const link of fitting) {
    // Of several, the one that is blamed for nothing itself: a chain's beginning is what a person can mend.
    const those = causes
      .filter(
        cause =>
          cause.id !== alarm.id && links(cause, alarm).includes(link) && link.holds(cause, alarm, facts),
      )
      .sort((a, b) => (isBefore(a, b) ? -1 : 1))
    if (those[0]) return those[0]
  }
  return undefined
}

/** The kinds of link there can be between these two, priorities considered. */
function links(cause: Alarm, consequence: Alarm): readonly Link[] {
  const isLouder = isMoreUrgent(consequence.priority, cause.priority)
  return LINKS.filter(
    link =>
      link.causes.includes(cause.rule) &&
      link.consequences.includes(consequence.rule) &&
      (!isLouder || link.disbelieved === true),
  )
}

const sameVessel = (one: Alarm, other: Alarm): boolean =>
  one.vesselId !== null && one.vesselId === other.vesselId

/** Which of several that happened together tells of them all: the most urgent, of those the first. */
function isBefore(one: Alarm, other: Alarm): boolean {
  if (one.priority !== other.priority) return isMoreUrgent(one.priority, other.priority)
  return one.raisedAtMs !== other.raisedAtMs ? one.raisedAtMs < other.raisedAtMs : one.id < other.id
}

/**
 * When the condition began, its delay taken off. A lamp that went out may be called for only once the water has followed: what
 * counts is when it went out.
 */
function began({ raisedAtMs, rule, vesselId }: Alarm, facts: CauseFacts): number {
  const darkSinceMs = rule === R.lightOut ? facts.vessel(vesselId ?? '')?.darkSinceMs : undefined
  return darkSinceMs ?? raisedAtMs - facts.settings[rule].onDelayMs
}

const beganTogether = (one: Alarm, other: Alarm, facts: CauseFacts): boolean =>
  Math.abs(began(one, facts) - began(other, facts)) <= TOGETHER_MS

const foretells = (heading: Alarm, hot: Alarm): boolean =>
  heading.raisedAtMs <= hot.raisedAtMs && !isMoreUrgent(hot.priority, heading.priority)

const isCold = (cause: Alarm, consequence: Alarm): boolean =>
  consequence.raisedAtMs >= cause.raisedAtMs - COLD_BEFORE_MS

const devicesOf = ({ vesselId }: Alarm, facts: CauseFacts): readonly string[] =>
  facts.vessel(vesselId ?? '')?.devices ?? []

function hangsOn(vesselId: string | null, devices: readonly string[], facts: CauseFacts): boolean {
  return vesselId !== null && (facts.vessel(vesselId)?.devices.some(name => devices.includes(name)) ?? false)
}

/** Whether no reading bears the alarm out: the newest of its role is older than its raising. */
function isUnheard({ rule, vesselId, raisedAtMs }: Alarm, facts: CauseFacts): boolean {
  const role = ROLE[rule]
  const newest = facts.vessel(vesselId ?? '')?.newestAtMs
  if (role === undefined || newest === undefined) return false
  const atMs = newest[role]
  return !(atMs >= raisedAtMs - TOGETHER_MS)
}

/** Root causes first: where several fit, the first is blamed. */
const LINKS: readonly Link[] = [
  {
    causes: [R.powerLost],
    consequences: [R.deviceSilent],
    // What falls silent later, while the power is away still, has a cause of its own.
    holds: (cause, { raisedAtMs, value }) => raisedAtMs - (value ?? 0) * 1000 <= cause.raisedAtMs,
  },
  // One device that watches several vessels: the first of them tells.
  {
    causes: [R.deviceSilent],
    consequences: [R.deviceSilent],
    holds: (cause, consequence, facts) =>
      isBefore(cause, consequence) && hangsOn(consequence.vesselId, devicesOf(cause, facts), facts),
  },
  // What is told of a vessel that says nothing comes from delays that ran on without a reading.
  {
    causes: [R.deviceSilent],
    consequences: [
      R.waterHeadingHot,
      R.waterTooCool,
      R.airFading,
      R.airLost,
      R.lightOut,
      R.probeFault,
      R.probeOutOfWater,
      R.harvestMissed,
    ],
    holds: (cause, consequence, facts) => sameVessel(cause, consequence) && isUnheard(consequence, facts),
  },
  {
    causes: [R.probeFault, R.probeOutOfWater],
    consequences: [R.waterTooHot, R.waterHeadingHot, R.waterTooCool],
    disbelieved: true,
    // What called before the probe failed was measured by a probe in order, and stands.
    holds: (cause, consequence) =>
      sameVessel(cause, consequence) &&
      consequence.raisedAtMs >= cause.raisedAtMs - (consequence.priority === 'critical' ? 0 : TOGETHER_MS),
  },
  // It was foretold, as loudly, and what to do is the same.
  {
    causes: [R.waterHeadingHot],
    consequences: [R.waterTooHot],
    holds: (cause, consequence) => sameVessel(cause, consequence) && foretells(cause, consequence),
  },
  // Too hot already: that it heads there is no news.
  {
    causes: [R.waterTooHot],
    consequences: [R.waterHeadingHot],
    holds: (cause, consequence) => sameVessel(cause, consequence) && !foretells(consequence, cause),
  },
  { causes: [R.airLost], consequences: [R.airFading], holds: sameVessel },
  // One pump, or one strip, for several vessels; and the lamps on the same strip.
  {
    causes: [R.airLost],
    consequences: [R.airLost],
    holds: (cause, consequence, facts) =>
      isBefore(cause, consequence) && beganTogether(cause, consequence, facts),
  },
  { causes: [R.airLost], consequences: [R.lightOut], holds: (...all) => beganTogether(...all) },
  {
    causes: [R.lightOut],
    consequences: [R.lightOut],
    holds: (cause, consequence, facts) =>
      isBefore(cause, consequence) && beganTogether(cause, consequence, facts),
  },
  {
    causes: [R.lightOut],
    consequences: [R.waterTooCool],
    holds: (cause, consequence, facts) =>
      sameVessel(cause, consequence) &&
      isCold(cause, consequence) &&
      facts.vessel(cause.vesselId ?? '')?.lampHeats !== false,
  },
  // A cold room cools them all, the small ones first: the first tells.
  {
    causes: [R.waterTooCool],
    consequences: [R.waterTooCool],
    holds: (cause, consequence) =>
      isBefore(cause, consequence) && consequence.raisedAtMs - cause.raisedAtMs <= ROOM_COOLS_MS,
  },
  // Without bubbles the water is not mixed: the bottom, where the probe is, cools.
  {
    causes: [R.airLost],
    consequences: [R.waterTooCool],
    holds: (cause, consequence) => sameVessel(cause, consequence) && isCold(cause, consequence),
  },
]
