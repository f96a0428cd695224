import { z } from 'zod'
import { Quality } from '../intake/reading.ts'
import type { Alarm, SeenBefore } from './alarm.ts'
import { AlarmState, Priority, Reason, RuleName } from './alarm.ts'
import type { ConditionTimer } from './condition-timer.ts'
import { IDLE_TIMER } from './condition-timer.ts'
import type { Judgement, RuleSettings, RulesSettings, VesselFacts } from './contract.ts'
import { type Hush, HushReason } from './hush.ts'
import { noPace, type Pace } from './pace.ts'
import type { JudgedRole, Rule } from './rule.ts'
import { MOST_SHELVED_MS } from './shelving.ts'
import { SilentPart } from './silent-part.ts'

/** What one rule remembers of one vessel. */
export interface RuleState {
  /** Since when it has watched, Unix ms; `null` while it does not. */
  readonly watchedSinceMs: number | null
  readonly timer: ConditionTimer
  /** The occurrence that is not over; `null` in the normal state. */
  readonly alarm: Alarm | null
  /** What its loudest consequence tells, while the alarm is the beginning of a chain. */
  readonly lift?: Lift
  /** Of the rule that listens: which silences the alarm tells of. */
  readonly silent?: readonly SilentPart[]
  /** Who acknowledged it last in this watch, for an alarm of it that comes back. */
  readonly seen?: SeenBefore
}

/** The loudest consequence of an alarm, which the alarm must be as loud as. */
export interface Lift {
  /** Its id. */
  readonly by: string
  readonly priority: Priority
  readonly action: string
  readonly text: string
}

/**
 * The newest of everything. Unlike the rest this is moved on in place, because it changes with each reading; NaN stands for
 * "never". Hand a memory to `judge` once and go on with the one that it returns.
 */
export interface Clocks {
  /** The latest time that any event told. */
  nowMs: number
  heardAtMs: number
  waterAtMs: number
  airAtMs: number
  lightAtMs: number
  levelAtMs: number
  /** Since when each channel is assigned, as far as was seen; NaN while it is not. Never before the service last resumed. */
  waterSinceMs: number
  airSinceMs: number
  lightSinceMs: number
  levelSinceMs: number
  /** When work on the vessel ended last: the level is held against what it stood at from then on. */
  levelFromMs: number
  /** Newest good values, kept units. */
  water: number
  air: number
  light: number
  level: number
  /** Quality of the newest water reading. */
  waterQuality: Quality
  /** How often its devices are heard, and how often each role brings readings. */
  pace: Record<JudgedRole | 'heard', Pace>
}

/** What the rules remember of one vessel. */
export interface VesselMemory {
  readonly vesselId: string
  readonly clocks: Clocks
  /** The start of the batch that the rules last saw open. */
  readonly batchStartedAtMs: number | null
  /** The work that goes on at the vessel; `null` when none does. */
  readonly hush: Hush | null
  readonly rules: Readonly<Record<RuleName, RuleState>>
  /** The answer to an event that changes nothing, made once so that judging a quiet reading makes nothing. */
  readonly quiet: Judgement
  /** Until when time alone changes nothing under the facts and settings that were seen last; not kept over a restart. */
  readonly calm: Calm
}

/** Moved on in place, like the clocks. */
export interface Calm {
  facts: VesselFacts | null
  settings: RulesSettings | null
  untilMs: number
  /** The rules that watch, by what they hear, with their state and setting: put together once, because readings come by the million. */
  watching: Watching | null
}

/** One rule that watches the vessel. */
export interface Watched {
  readonly rule: Rule
  readonly state: RuleState
  readonly setting: RuleSettings
}
export type Watching = Readonly<Record<JudgedRole | 'heard', readonly Watched[]>>

const VERSION = 1
const UNWATCHED: RuleState = { watchedSinceMs: null, timer: IDLE_TIMER, alarm: null }
const NO_TRANSITIONS: Judgement['transitions'] = []

/** A vessel that nothing is known of. */
export function emptyMemory(vesselId: string): VesselMemory {
  const clocks: Clocks = {
    nowMs: NaN,
    heardAtMs: NaN,
    waterAtMs: NaN,
    airAtMs: NaN,
    lightAtMs: NaN,
    levelAtMs: NaN,
    waterSinceMs: NaN,
    airSinceMs: NaN,
    lightSinceMs: NaN,
    levelSinceMs: NaN,
    levelFromMs: NaN,
    water: NaN,
    air: NaN,
    light: NaN,
    level: NaN,
    waterQuality: Quality.good,
    pace: noPaces(),
  }
  return makeMemory({
    vesselId,
    clocks,
    batchStartedAtMs: null,
    hush: null,
    rules: everyRule(() => UNWATCHED),
  })
}

export function makeMemory(parts: Omit<VesselMemory, 'quiet' | 'calm'>): VesselMemory {
  const { vesselId, clocks, batchStartedAtMs, hush, rules } = parts
  const quiet: { memory: VesselMemory | null; transitions: Judgement['transitions'] } = {
    memory: null,
    transitions: NO_TRANSITIONS,
  }
  const calm: Calm = { facts: null, settings: null, untilMs: NaN, watching: null }
  const memory = { vesselId, clocks, batchStartedAtMs, hush, rules, quiet: quiet as Judgement, calm }
  quiet.memory = memory
  return memory
}

/**
 * After a stop of the service: silence is counted from `atMs`, because while nobody listened nobody could be heard. All else
 * goes on as it was: delays that ended meanwhile ended when they were due. A shelf or a hush that would last longer than any may
 * was written by another clock: it is over, as OPC 10000-9 wants of a shelved state that cannot be determined.
 */
export function resumeMemory(memory: VesselMemory, atMs: number): VesselMemory {
  const since = {
    heardAtMs: atMs,
    waterSinceMs: atMs,
    airSinceMs: atMs,
    lightSinceMs: atMs,
    levelSinceMs: atMs,
  }
  const bounded = (untilMs: number | null) =>
    untilMs !== null && untilMs > atMs + MOST_SHELVED_MS ? atMs : untilMs
  const { hush } = memory
  return makeMemory({
    ...memory,
    // Nor is the stop a gap between two readings.
    clocks: { ...memory.clocks, ...since, pace: pacesAnew(memory.clocks.pace) },
    hush: hush && { ...hush, untilMs: bounded(hush.untilMs) ?? atMs },
    rules: everyRule(name => {
      const state = memory.rules[name]
      const { alarm } = state
      if (alarm === null) return state
      const shelvedUntilMs = bounded(alarm.shelvedUntilMs)
      const suppressedUntilMs = bounded(alarm.suppressedUntilMs)
      return { ...state, alarm: { ...alarm, shelvedUntilMs, suppressedUntilMs } }
    }),
  })
}

function pacesAnew({ heard, water, air, light, level }: Clocks['pace']): Clocks['pace'] {
  const anew = (pace: Pace): Pace => ({ ...pace, atMs: NaN })
  return { heard: anew(heard), water: anew(water), air: anew(air), light: anew(light), level: anew(level) }
}

/** The memory as JSON text, with its version. */
export function encodeMemory(memory: VesselMemory): string {
  const { vesselId, clocks, batchStartedAtMs, hush, rules } = memory
  // JSON has no NaN: "never" becomes null by itself.
  return JSON.stringify({ version: VERSION, vesselId, clocks, batchStartedAtMs, hush, rules })
}

const noPaces = (): Clocks['pace'] => ({
  heard: noPace(),
  water: noPace(),
  air: noPace(),
  light: noPace(),
  level: noPace(),
})

const MaybeMs = z.number().nullable()
const KeptSeen = z.object({ atMs: z.number(), by: z.string().nullable() })
const Never = z
  .number()
  .nullable()
  .transform(value => value ?? NaN)
// A memory written before channels had these is of this version too: they count as newly assigned.
const NeverYet = Never.default(NaN)
export const KeptAlarm = z
  .object({
    id: z.string(),
    vesselId: z.string().nullable(),
    rule: z.enum(RuleName),
    state: z.enum(AlarmState),
    priority: z.enum(Priority),
    raisedAtMs: z.number(),
    clearedAtMs: MaybeMs,
    acknowledgedAtMs: MaybeMs,
    acknowledgedBy: z.string().nullable(),
    seenBefore: KeptSeen.optional(),
    reason: z.enum(Reason),
    // A memory written before alarms had an action is of this version too.
    action: z.string().default(''),
    text: z.string(),
    value: z.number().nullable(),
    limit: z.number().nullable(),
    // Nor did it know these.
    announcedAtMs: MaybeMs.optional(),
    worseSinceMs: MaybeMs.default(null),
    saidAtMs: z.number().optional(),
    takes: z.number().optional(),
    shelvedUntilMs: MaybeMs.default(null),
    shelvedOnce: z.boolean().default(false),
    setAsideBy: z.string().nullable().default(null),
    suppressedUntilMs: MaybeMs.default(null),
    causedBy: z.string().nullable().default(null),
    consequences: z.array(z.string()).default([]),
  })
  .transform(({ announcedAtMs, seenBefore, saidAtMs, takes, ...alarm }): Alarm => ({
    ...alarm,
    ...(takes !== undefined && { takes }),
    ...(saidAtMs !== undefined && { saidAtMs }),
    ...(seenBefore && { seenBefore }),
    announcedAtMs: announcedAtMs === undefined ? alarm.raisedAtMs : announcedAtMs,
  }))
export const KeptTimer = z.object({
  active: z.boolean(),
  pendingSinceMs: MaybeMs,
  unknownSinceMs: MaybeMs,
})
const KeptRule = z
  .object({
    watchedSinceMs: MaybeMs,
    timer: KeptTimer,
    alarm: KeptAlarm.nullable(),
    lift: z
      .object({ by: z.string(), priority: z.enum(Priority), action: z.string(), text: z.string() })
      .optional(),
    silent: z.array(z.enum(SilentPart)).optional(),
    seen: KeptSeen.optional(),
  })
  .transform(({ lift, silent, seen, ...rest }): RuleState => ({
    ...rest,
    ...(lift && { lift }),
    ...(silent && { silent }),
    ...(seen && { seen }),
  }))
const KeptPace = z.object({ atMs: Never, gaps: z.array(z.number()), usual: z.number() })
const KeptMemory = z.object({
  version: z.literal(VERSION),
  vesselId: z.string(),
  clocks: z.object({
    nowMs: Never,
    heardAtMs: Never,
    waterAtMs: Never,
    airAtMs: Never,
    lightAtMs: Never,
    levelAtMs: NeverYet,
    waterSinceMs: NeverYet,
    airSinceMs: NeverYet,
    lightSinceMs: NeverYet,
    levelSinceMs: NeverYet,
    levelFromMs: NeverYet,
    water: Never,
    air: Never,
    light: Never,
    level: NeverYet,
    waterQuality: z.enum(Quality),
    // Before there was such a thing no pace was known.
    pace: z
      .object({ heard: KeptPace, water: KeptPace, air: KeptPace, light: KeptPace, level: KeptPace })
      .default(noPaces),
  }),
  batchStartedAtMs: MaybeMs,
  hush: z
    .object({ reason: z.enum(HushReason), sinceMs: z.number(), untilMs: z.number(), by: z.string() })
    .nullable()
    .default(null),
  rules: z.partialRecord(z.enum(RuleName), KeptRule),
})

/**
 * Reads a memory back. Text that is not a memory of this vessel in this version gives an empty one: the next readings
 * judge the vessel anew. A rule that the text does not know yet starts unwatched.
 */
export function decodeMemory(vesselId: string, json: string): VesselMemory {
  let raw: unknown
  try {
    raw = JSON.parse(json)
  } catch {
    return emptyMemory(vesselId)
  }
  const { data } = KeptMemory.safeParse(raw)
  if (data?.vesselId !== vesselId) return emptyMemory(vesselId)
  const { clocks, batchStartedAtMs, hush } = data
  return makeMemory({
    vesselId,
    clocks,
    batchStartedAtMs,
    hush,
    rules: everyRule(name => data.rules[name] ?? UNWATCHED),
  })
}

const RULE_NAMES = Object.values(RuleName)

function everyRule(state: (name: RuleName) => RuleState): Record<RuleName, RuleState> {
  return Object.fromEntries(RULE_NAMES.map(name => [name, state(name)])) as Record<RuleName, RuleState>
}
