import type { Alarm, AlarmState, Priority, Reason, RuleName } from '../alarm.ts'

/** One step of one alarm, as it was written down. Times are Unix ms. */
export interface JournalStep {
  readonly atMs: number
  readonly alarmId: string
  readonly vesselId: string | null
  readonly rule: RuleName
  readonly state: AlarmState
  readonly priority: Priority
  readonly reason: Reason
  /** It calls: the raising, a worsening, or a call again. */
  readonly calls: boolean
  /** Who did it, if a person did. */
  readonly by: string | null
}

export interface JournalInput {
  readonly fromMs: number
  /** Exclusive. */
  readonly toMs: number
  readonly nowMs: number
  /** The alarms that stood within the span. */
  readonly alarms: readonly Alarm[]
  /** Their steps within the span, oldest first. */
  readonly steps: readonly JournalStep[]
}

/** How a figure stands to its mark. */
export const Verdict = {
  /** At its mark or better. */
  good: 'good',
  /** Worse than its mark. */
  over: 'over',
  /** Too little to say. */
  unknown: 'unknown',
} as const
export type Verdict = (typeof Verdict)[keyof typeof Verdict]

/** A figure beside what is published as good for it. */
export interface Figure {
  readonly value: number | null
  readonly mark: number
  readonly verdict: Verdict
}

/** An alarm of one vessel, or, without one, of the room. */
export interface Source {
  readonly rule: RuleName
  readonly vesselId: string | null
}

/** How much was asked of the people of a room over a span. */
export interface JournalFigures {
  /** The alarms that called people: each time one came. What the figures count, but for the answers. */
  readonly alarms: number
  /** How often people were called for them in all: once each, and again while nobody had answered, or it went on. */
  readonly calls: number
  readonly days: number
  readonly perDay: Figure
  /** The most alarms within any ten minutes, and when those began. */
  readonly busiestTenMinutes: Figure & { readonly fromMs: number | null }
  /** Alarms that stand now, silent or not. */
  readonly standing: number
  /** The one that has stood longest; `null` when none stands. */
  readonly longestStanding: { readonly alarmId: string; readonly sinceMs: number } | null
  /** Those that have stood for a day or more. */
  readonly stale: Figure & { readonly alarmIds: readonly string[] }
  /** Those that came and went three times or more within a minute. */
  readonly chattering: Figure & { readonly sources: readonly (Source & { readonly times: number })[] }
  /** Shares of the alarms, 0 to 1. */
  readonly priorities: Readonly<Record<Priority, Figure & { readonly alarms: number }>>
  /** What came most, the most frequent first: five at most. */
  readonly mostFrequent: readonly (Source & { readonly alarms: number })[]
  /** From a call to its acknowledgement, ms. */
  readonly acknowledging: {
    readonly count: number
    readonly meanMs: number | null
    readonly medianMs: number | null
    /** Calls that were over, or stood an hour and more, without anybody having acknowledged them. */
    readonly never: number
  }
}
