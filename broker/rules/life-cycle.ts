import type { Alarm, Priority, Reason, SeenBefore } from './alarm.ts'
import { AlarmState, PLAIN } from './alarm.ts'

/** What can happen to an alarm, in the terms of ANSI/ISA-18.2. */
export const LifeEvent = {
  /** The condition came to hold. */
  raise: 'raise',
  /** The condition holds no longer. */
  clear: 'clear',
  /** A person has seen it. */
  acknowledge: 'acknowledge',
  /** What stands has become more urgent: it is announced anew. */
  escalate: 'escalate',
  /** It was acknowledged long ago and holds still: it is announced anew. */
  reAlarm: 're-alarm',
  /** A person lets go of what was latched. */
  reset: 'reset',
  /** A person sets it aside for a time. */
  shelve: 'shelve',
  /** It is silent by design: work goes on at the vessel, or its cause stands. */
  suppress: 'suppress',
  /** A person takes it out of service, until it is returned. */
  takeOut: 'take-out',
  /** The shelf, the suppression or the time out of service is over. */
  release: 'release',
  /** It is watched no longer: the batch ended, the channel was taken away, the rule was switched off. */
  withdraw: 'withdraw',
} as const
export type LifeEvent = (typeof LifeEvent)[keyof typeof LifeEvent]

/** What a transition may hang on besides the state. */
export interface Circumstances {
  /** The condition holds, delays counted. */
  readonly holds: boolean
  /** The rule latches. */
  readonly latching: boolean
  /** Shelved only until it returns to normal. */
  readonly once: boolean
}

type Way = AlarmState | ((now: Circumstances) => AlarmState | undefined)

const S = AlarmState
const back = ({ holds }: Circumstances) => (holds ? S.unacknowledged : S.normal)
/** A person knows of what was shelved: when that is over and latches, it is as if it had been acknowledged. */
const over = ({ latching }: Circumstances) => (latching ? S.latchedAcknowledged : S.normal)

/**
 * Every transition there is; what is not in the table changes nothing. A condition that comes while an alarm is suppressed is
 * raised and suppressed in one step, and nobody hears of it.
 */
const TRANSITIONS: Readonly<Record<AlarmState, Readonly<Partial<Record<LifeEvent, Way>>>>> = {
  [S.normal]: { raise: S.unacknowledged, 'take-out': S.outOfService },
  [S.unacknowledged]: {
    clear: ({ latching }) => (latching ? S.latched : S.returnedUnacknowledged),
    acknowledge: S.acknowledged,
    escalate: S.unacknowledged,
    shelve: S.shelved,
    suppress: S.suppressed,
    'take-out': S.outOfService,
    withdraw: S.normal,
  },
  [S.acknowledged]: {
    clear: over,
    escalate: S.unacknowledged,
    're-alarm': S.unacknowledged,
    shelve: S.shelved,
    suppress: S.suppressed,
    'take-out': S.outOfService,
    withdraw: S.normal,
  },
  [S.returnedUnacknowledged]: {
    raise: S.unacknowledged,
    acknowledge: S.normal,
    // What is over already cannot be shelved until it is over.
    shelve: ({ once }) => (once ? undefined : S.shelved),
    'take-out': S.outOfService,
    withdraw: S.normal,
  },
  [S.latched]: {
    raise: S.unacknowledged,
    acknowledge: S.latchedAcknowledged,
    reset: S.returnedUnacknowledged,
    'take-out': S.outOfService,
    withdraw: S.normal,
  },
  [S.latchedAcknowledged]: {
    raise: S.unacknowledged,
    reset: S.normal,
    'take-out': S.outOfService,
    withdraw: S.normal,
  },
  [S.shelved]: {
    clear: now => (now.once ? over(now) : undefined),
    // It has become worse than what was shelved.
    escalate: S.unacknowledged,
    release: now => (now.holds ? S.unacknowledged : over(now)),
    'take-out': S.outOfService,
    withdraw: S.normal,
  },
  [S.suppressed]: {
    clear: S.normal,
    release: back,
    'take-out': S.outOfService,
    withdraw: S.normal,
  },
  [S.outOfService]: { release: back },
}

/** Where an event leads from a state; `undefined` when it changes nothing. */
export function nextState(state: AlarmState, event: LifeEvent, now: Circumstances): AlarmState | undefined {
  const way = TRANSITIONS[state][event]
  return typeof way === 'function' ? way(now) : way
}

/** What an alarm says when it is raised. */
export interface Announcement {
  readonly priority: Priority
  readonly action: string
  readonly text: string
  readonly value: number | null
  readonly limit: number | null
  /** How many vessels it takes; left out where that is told by its consequences. */
  readonly takes?: number
}

/** What happened, why, when, and who did it if a person did. */
export interface Step {
  readonly event: LifeEvent
  readonly reason: Reason
  readonly atMs: number
  readonly now: Circumstances
  readonly by?: string
  /** What it says from now on, where the event announces it. */
  readonly says?: Announcement
  /** Of `shelve` and `suppress`: until when, Unix ms. */
  readonly untilMs?: number | null
  readonly causedBy?: string | null
  /** Of `suppress`: when it had called last before the step that is now taken back; as it is when left out. */
  readonly announcedAtMs?: number | null
}

/** An alarm in its normal state, before anything has happened to it. */
export function restingAlarm(
  named: Pick<Alarm, 'id' | 'vesselId' | 'rule'>,
  says: Announcement,
  reason: Reason,
  atMs: number,
): Alarm {
  return {
    ...named,
    ...PLAIN,
    ...says,
    state: S.normal,
    raisedAtMs: atMs,
    announcedAtMs: null,
    clearedAtMs: null,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    reason,
  }
}

const NOT_ASIDE = {
  shelvedUntilMs: null,
  shelvedOnce: false,
  setAsideBy: null,
  suppressedUntilMs: null,
  causedBy: null,
  worseSinceMs: null,
} as const

/** Its newest acknowledgement, if there was one. */
export function seenOf({ acknowledgedAtMs, acknowledgedBy, seenBefore }: Alarm): SeenBefore | undefined {
  return acknowledgedAtMs === null ? seenBefore : { atMs: acknowledgedAtMs, by: acknowledgedBy }
}

/** The alarm after a step; the same alarm when the step changes nothing. */
export function step(alarm: Alarm, { event, reason, atMs, now, ...more }: Step): Alarm {
  const state = nextState(alarm.state, event, now)
  if (state === undefined) return alarm
  const by = more.by ?? null
  switch (state) {
    case S.unacknowledged: {
      const seenBefore = seenOf(alarm)
      return {
        ...alarm,
        ...NOT_ASIDE,
        ...more.says,
        state,
        reason,
        announcedAtMs: atMs,
        clearedAtMs: null,
        acknowledgedAtMs: null,
        acknowledgedBy: null,
        ...(seenBefore && { seenBefore }),
      }
    }
    case S.acknowledged:
      return { ...alarm, state, reason, worseSinceMs: null, acknowledgedAtMs: atMs, acknowledgedBy: by }
    case S.shelved:
      return {
        ...alarm,
        state,
        reason,
        shelvedUntilMs: more.untilMs ?? null,
        shelvedOnce: now.once,
        setAsideBy: by,
      }
    case S.suppressed:
      return {
        ...alarm,
        state,
        reason,
        suppressedUntilMs: more.untilMs ?? null,
        causedBy: more.causedBy ?? null,
        announcedAtMs: more.announcedAtMs === undefined ? alarm.announcedAtMs : more.announcedAtMs,
      }
    case S.outOfService:
      return { ...alarm, ...NOT_ASIDE, state, reason, setAsideBy: by }
    case S.normal:
    case S.returnedUnacknowledged:
    case S.latched:
    case S.latchedAcknowledged: {
      const seen =
        event === LifeEvent.acknowledge ? { acknowledgedAtMs: atMs, acknowledgedBy: by } : undefined
      return { ...alarm, ...seen, state, reason, clearedAtMs: alarm.clearedAtMs ?? atMs }
    }
  }
}
