/** Alarm vocabulary: the states and terms of ANSI/ISA-18.2 (IEC 62682). */

export const AlarmState = {
  normal: 'normal',
  unacknowledged: 'unacknowledged',
  acknowledged: 'acknowledged',
  returnedUnacknowledged: 'return-to-normal-unacknowledged',
  /** Over, but kept up until a person has seen it and resets it. */
  latched: 'latched',
  latchedAcknowledged: 'latched-acknowledged',
  shelved: 'shelved',
  suppressed: 'suppressed-by-design',
  outOfService: 'out-of-service',
} as const
export type AlarmState = (typeof AlarmState)[keyof typeof AlarmState]

export const Priority = { critical: 'critical', high: 'high', low: 'low' } as const
export type Priority = (typeof Priority)[keyof typeof Priority]

export const RuleName = {
  waterHeadingHot: 'water-heading-hot',
  waterTooHot: 'water-too-hot',
  waterTooCool: 'water-too-cool',
  airLost: 'air-lost',
  airFading: 'air-fading',
  lightOut: 'light-out',
  waterLevel: 'water-level',
  probeFault: 'probe-fault',
  probeOutOfWater: 'probe-out-of-water',
  deviceSilent: 'device-silent',
  harvestMissed: 'harvest-missed',
  powerLost: 'power-lost',
  diskFull: 'disk-full',
  storeSlow: 'store-slow',
  clockJumped: 'clock-jumped',
  channelFailing: 'channel-failing',
  backupOverdue: 'backup-overdue',
  dataRestored: 'data-restored',
} as const
export type RuleName = (typeof RuleName)[keyof typeof RuleName]

/** The rules that watch the service and the room as a whole: their alarms belong to no vessel. */
export const SYSTEM_RULES = [
  RuleName.powerLost,
  RuleName.diskFull,
  RuleName.storeSlow,
  RuleName.clockJumped,
  RuleName.channelFailing,
  RuleName.backupOverdue,
  RuleName.dataRestored,
] as const
export type SystemRuleName = (typeof SYSTEM_RULES)[number]

/** Why a rule decided as it did: the log, the API and the screen show this same name. */
export const Reason = {
  aboveLimit: 'above-limit',
  headingForLimit: 'heading-for-limit',
  noLongerHeading: 'no-longer-heading',
  falling: 'falling',
  steadyAgain: 'steady-again',
  pastHarvest: 'past-harvest',
  notKept: 'not-kept',
  keptAgain: 'kept-again',
  clockStepped: 'clock-stepped',
  clockSteady: 'clock-steady',
  notDelivered: 'not-delivered',
  deliveredAgain: 'delivered-again',
  notBackedUp: 'not-backed-up',
  backedUpAgain: 'backed-up-again',
  foundDamaged: 'found-damaged',
  mended: 'mended',
  belowLimit: 'below-limit',
  backWithinLimit: 'back-within-limit',
  badQuality: 'bad-quality',
  goodAgain: 'good-again',
  notHeard: 'not-heard',
  heardAgain: 'heard-again',
  acknowledged: 'acknowledged',
  announcedAgain: 're-alarm',
  reset: 'reset',
  shelved: 'shelved',
  unshelved: 'unshelved',
  hushed: 'suppressed',
  hushEnded: 'suppression-ended',
  consequence: 'consequence',
  causeEnded: 'cause-ended',
  takenOut: 'out-of-service',
  putBack: 'in-service',
  batchEnded: 'batch-ended',
  notWatched: 'not-watched',
} as const
export type Reason = (typeof Reason)[keyof typeof Reason]

/** Who acknowledged something, and when, Unix ms. */
export interface SeenBefore {
  readonly atMs: number
  readonly by: string | null
}

/** One occurrence of an alarm, from its raising to its return to normal and acknowledgement. */
export interface Alarm {
  readonly id: string
  /** `null` for what concerns the whole room, or the service itself. */
  readonly vesselId: string | null
  readonly rule: RuleName
  readonly state: AlarmState
  readonly priority: Priority
  /** Event time of the raising, Unix ms. */
  readonly raisedAtMs: number
  /**
   * Event time of the newest call, Unix ms: the raising, a worsening, or a call again after an acknowledgement. `null` while it has
   * never called: suppressed or out of service all along. With the id it names one call, so that none is sent twice.
   */
  readonly announcedAtMs: number | null
  /**
   * Since when it has been worse than it last called for, Unix ms, while nobody has been called anew for that: calls lie apart, see
   * `call-gap.ts`. `null` or left out while it says no more than it called for.
   */
  readonly worseSinceMs?: number | null
  /** When its words were written, Unix ms, where they followed what it is about; a later call counts before it. */
  readonly saidAtMs?: number
  readonly clearedAtMs: number | null
  readonly acknowledgedAtMs: number | null
  readonly acknowledgedBy: string | null
  /**
   * The last acknowledgement before this call: of the same alarm that still holds, or of the one before it that was over. Left out
   * where there was none.
   */
  readonly seenBefore?: SeenBefore | undefined
  /** The reason of the latest transition. */
  readonly reason: Reason
  /** What to do first: one plain sentence, short enough to be read at arm's length. Empty in alarms kept before there was one. */
  readonly action: string
  /** Plain words: what was measured, the action, and what to mind about it. Temperatures as °C and °F. */
  readonly text: string
  /** The value that raised it and the limit it was held against, in the rule's own unit; `null` where there is none. */
  readonly value: number | null
  readonly limit: number | null
  /** While shelved: when it comes back at the latest, Unix ms. */
  readonly shelvedUntilMs: number | null
  /** Shelved only until it returns to normal, and no longer than `shelvedUntilMs`. */
  readonly shelvedOnce: boolean
  /** Who shelved it, or took it out of service. */
  readonly setAsideBy: string | null
  /** While out of service: when it returns by itself, Unix ms, if it does; and what for, if that was said. The room knows it. */
  readonly outUntilMs?: number
  readonly outWhy?: string
  /** While suppressed for work on the vessel: until when, Unix ms. */
  readonly suppressedUntilMs: number | null
  /** The id of the standing alarm that it is a consequence of; suppressed as long as that one stands. */
  readonly causedBy: string | null
  /**
   * How many vessels it takes, its consequences counted. Of two that are as loud the one that takes more goes first, wherever they are
   * put in order. Left out for one, and for what takes none.
   */
  readonly takes?: number
  /** The ids of what is suppressed as a consequence of this one, or was to its end. */
  readonly consequences: readonly string[]
}

/** What an alarm has that is neither set aside nor part of a chain; also what those kept before there was such a thing have. */
export const PLAIN = {
  action: '',
  shelvedUntilMs: null,
  shelvedOnce: false,
  setAsideBy: null,
  suppressedUntilMs: null,
  causedBy: null,
  worseSinceMs: null,
  consequences: [],
} as const satisfies Partial<Alarm>
