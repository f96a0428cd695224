import { type Alarm, Reason, RuleName } from './alarm.ts'
import type { RulesSettings } from './contract.ts'
import type { JudgedRole } from './rule.ts'

/** What the room knows of its vessels that tells a cause from a coincidence. */
export interface CauseFacts {
  readonly settings: RulesSettings
  vessel(id: string): VesselLinks | undefined
  /** The devices that a standing power-lost tells of; none when left out. */
  readonly silentTogether?: readonly string[]
  /** The ids of standing alarms that called by themselves at an earlier step, and are no consequence; none when left out. */
  readonly onTheirOwn?: ReadonlySet<string>
}

/** What a vessel hangs on. */
export interface VesselLinks {
  /** Whose channels are assigned to it. */
  readonly devices: readonly string[]
  /** Whether its lamp is its heater; left out while that is not known. */
  readonly lampHeats?: boolean | undefined
  /** Since when it has been dark, Unix ms; left out while there is light. */
  readonly darkSinceMs?: number | undefined
  /** How long its lost air waits for vessels where it is more urgent, ms; 0 when left out. */
  readonly airWaitsMs?: number
  /** When the newest reading of each role was taken, Unix ms; NaN for never. */
  readonly newestAtMs: Readonly<Record<JudgedRole, number>>
}

/**
 * What happened at one moment is seen within a minute: devices speak in turn. A consequence may be seen before its cause by as long
 * as the cause's own delay; cold that came earlier than that has another cause. Own choices.
 */
const TOGETHER_MS = 60_000
const COLD_BEFORE_MS = 20 * 60_000
const ROOM_COOLS_MS = 4 * 3_600_000
/** A probe that hangs in the air and a level that falls within so long tell of the same water. Own choice. */
const SAME_WATER_MS = 10 * 60_000

const R = RuleName
const ROLE: Readonly<Partial<Record<RuleName, JudgedRole>>> = {
  [R.waterHeadingHot]: 'water',
  [R.waterTooHot]: 'water',
  [R.waterTooCool]: 'water',
  [R.probeFault]: 'water',
  [R.probeOutOfWater]: 'water',
  [R.airLost]: 'air',
  [R.airFading]: 'air',
  [R.lightOut]: 'light',
  [R.waterLevel]: 'level',
}

/** Why one alarm is the consequence of another. */
export interface Link {
  readonly causes: readonly RuleName[]
  readonly consequences: readonly RuleName[]
  /** What the consequence tells is not to be believed: however loud, it makes its cause no louder. */
  readonly disbelieved?: boolean
  /** Where the same rule may be to blame on either side, the cause is the one that stood first. */
  holds(cause: Alarm, consequence: Alarm, facts: CauseFacts): boolean
}

export const sameVessel = (one: Alarm, other: Alarm): boolean =>
  one.vesselId !== null && one.vesselId === other.vesselId

/**
 * When the condition began, its delay taken off. A lamp that went out may be called for only once the water has followed: what
 * counts is when it went out.
 */
function began({ raisedAtMs, rule, vesselId }: Alarm, facts: CauseFacts): number {
  const vessel = facts.vessel(vesselId ?? '')
  const darkSinceMs = rule === R.lightOut ? vessel?.darkSinceMs : undefined
  const waitedMs = rule === R.airLost ? (vessel?.airWaitsMs ?? 0) : 0
  return darkSinceMs ?? raisedAtMs - facts.settings[rule].onDelayMs - waitedMs
}

const beganTogether = (one: Alarm, other: Alarm, facts: CauseFacts): boolean =>
  Math.abs(began(one, facts) - began(other, facts)) <= TOGETHER_MS

const foretells = (heading: Alarm, hot: Alarm): boolean => heading.raisedAtMs <= hot.raisedAtMs

/**
 * Whether an alarm called by itself while another one of its vessel stood already, and was put off: that one, brought back, neither takes
 * it over nor calls for it anew. What was answered stays answered.
 */
export const isOnItsOwn = (alarm: Alarm, beside: Alarm, { onTheirOwn }: CauseFacts): boolean =>
  onTheirOwn?.has(alarm.id) === true &&
  sameVessel(alarm, beside) &&
  alarm.rule !== beside.rule &&
  beside.raisedAtMs <= alarm.raisedAtMs

/** Whether the probe was called for a little before the level was, with the same thing to do. */
const tellsOf = (probe: Alarm, level: Alarm): boolean =>
  probe.raisedAtMs < level.raisedAtMs && level.raisedAtMs <= probe.raisedAtMs + SAME_WATER_MS

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

/** When the silence that is told of came to be told: of a second sensor's, later than the first. */
function silentSince({ raisedAtMs, announcedAtMs, worseSinceMs, reason }: Alarm): number[] {
  const newest = reason === Reason.notHeard ? [announcedAtMs ?? raisedAtMs] : []
  return [raisedAtMs, ...newest, ...(typeof worseSinceMs === 'number' ? [worseSinceMs] : [])]
}

/** Root causes first: where several fit, the first is blamed. */
export const LINKS: readonly Link[] = [
  {
    causes: [R.powerLost],
    consequences: [R.deviceSilent],
    // What falls silent later, while the power is away still, has a cause of its own, unless it is told of with it.
    holds: (cause, { raisedAtMs, value, vesselId }, facts) =>
      raisedAtMs - (value ?? 0) * 1000 <= cause.raisedAtMs ||
      hangsOn(vesselId, facts.silentTogether ?? [], facts),
  },
  // One device that watches several vessels: the first of them tells. A sensor that fails another time has a cause of its own.
  {
    causes: [R.deviceSilent],
    consequences: [R.deviceSilent],
    holds: (cause, consequence, facts) =>
      hangsOn(consequence.vesselId, devicesOf(cause, facts), facts) &&
      silentSince(cause).some(atMs => Math.abs(consequence.raisedAtMs - atMs) <= TOGETHER_MS),
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
      R.waterLevel,
      R.harvestMissed,
    ],
    holds: (cause, consequence, facts) => sameVessel(cause, consequence) && isUnheard(consequence, facts),
  },
  // The water ran out from under the probe, and a lamp heats what is left of it faster.
  {
    causes: [R.waterLevel],
    consequences: [R.probeOutOfWater, R.waterHeadingHot, R.waterTooHot],
    // A probe that was called for a little before has told of it already: see the next.
    holds: (cause, consequence) =>
      sameVessel(cause, consequence) &&
      !(consequence.rule === R.probeOutOfWater && tellsOf(consequence, cause)),
  },
  {
    causes: [R.probeOutOfWater],
    consequences: [R.waterLevel],
    holds: (cause, consequence) => sameVessel(cause, consequence) && tellsOf(cause, consequence),
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
  // It was foretold, and what to do is the same.
  {
    causes: [R.waterHeadingHot],
    consequences: [R.waterTooHot],
    holds: (cause, consequence) => sameVessel(cause, consequence) && foretells(cause, consequence),
  },
  // Too hot already: that it heads there is no news, nor that it headed there, of a warning that was put off and comes back after it.
  {
    causes: [R.waterTooHot],
    consequences: [R.waterHeadingHot],
    holds: (cause, consequence, facts) =>
      sameVessel(cause, consequence) &&
      (!foretells(consequence, cause) || isOnItsOwn(cause, consequence, facts)),
  },
  { causes: [R.airLost], consequences: [R.airFading], holds: sameVessel },
  // One pump, or one strip, for several vessels; and the lamps on the same strip.
  {
    causes: [R.airLost],
    consequences: [R.airLost],
    holds: (...all) => beganTogether(...all),
  },
  { causes: [R.airLost], consequences: [R.lightOut], holds: (...all) => beganTogether(...all) },
  {
    causes: [R.lightOut],
    consequences: [R.lightOut],
    holds: (...all) => beganTogether(...all),
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
    holds: (cause, consequence) => consequence.raisedAtMs - cause.raisedAtMs <= ROOM_COOLS_MS,
  },
  // Without bubbles the water is not mixed: the bottom, where the probe is, cools.
  {
    causes: [R.airLost],
    consequences: [R.waterTooCool],
    holds: (cause, consequence) => sameVessel(cause, consequence) && isCold(cause, consequence),
  },
]
