import { type Alarm, RuleName, type SystemRuleName } from '../../rules/alarm.ts'
import type { RulesSettings, Transition } from '../../rules/contract.ts'
import type { SystemFacts, SystemJudgement, SystemMemory } from '../../rules/system/contract.ts'
import { actOnSystem, judgeSystem, type SystemAct } from '../../rules/system/judge-system.ts'
import { calmSystem, decodeSystem, encodeSystem } from '../../rules/system/memory.ts'
import { timesMoved } from '../../rules/set-back.ts'
import { StoreError, StoreErrorCode } from '../../store/contract.ts'
import { CommitWatch } from './commit-watch.ts'
import { ClockWatch } from './clock-watch.ts'
import { silentTogether, type HeardDevice } from './silent-together.ts'

/** Ways to a person of which it is remembered that they fail; there are far fewer. */
const MOST_CHANNELS = 100

export interface SystemParts {
  /** The wall clock, Unix ms. */
  readonly clock: () => number
  /** A clock that is never set, ms from any origin; without it neither a jump of the wall clock nor a slow disk is seen. */
  readonly monotonicMs?: (() => number) | undefined
  /** How many times faster than the monotonic clock the wall clock runs; 1 when left out. */
  readonly clockSpeed?: number | undefined
  readonly newId: () => string
}

/** What is worth calling for in the service and the room as a whole. It is told of what happens and asked to look once a second. */
export class SystemWatch {
  readonly #parts: SystemParts
  #startedAtMs: number
  readonly #commits: CommitWatch | null
  readonly #clocks: ClockWatch | null
  readonly #failing = new Map<string, { detail: string; sinceMs: number }>()
  #notKept: SystemFacts['notKept'] = null
  #backupOverdue: SystemFacts['backupOverdue'] = null
  #heardBeforeMs: number | null = null
  #restored: SystemFacts['restored'] = null
  #memory: SystemMemory = calmSystem()

  constructor(parts: SystemParts) {
    this.#parts = parts
    this.#startedAtMs = parts.clock()
    const { clock, monotonicMs, clockSpeed = 1 } = parts
    this.#commits = monotonicMs ? new CommitWatch(monotonicMs) : null
    this.#clocks = monotonicMs ? new ClockWatch(clock, () => monotonicMs() * clockSpeed) : null
  }

  /** Goes on as it was before the service stopped, having heard of its devices last at `heardBeforeMs`. */
  restore(json: string | undefined, heardBeforeMs: number | null = null): void {
    this.#memory = decodeSystem(json)
    this.#heardBeforeMs = heardBeforeMs
  }

  /** The memory as text, to be kept. */
  get encoded(): string {
    return encodeSystem(this.#memory)
  }

  /** The devices that a standing power-lost tells of. */
  get silentTogether(): readonly string[] {
    return (this.#memory[RuleName.powerLost].about ?? []).flatMap(({ devices }) => devices)
  }

  /** Whether this alarm is one of the system's own that stands. */
  owns(alarm: Alarm): boolean {
    return Object.values(this.#memory).some(state => state.alarm?.id === alarm.id)
  }

  /** Watches a commit from when it is asked for to when it is on disk, or fails. */
  keeping(work: Promise<unknown>): void {
    const done = this.#commits?.begin() ?? (() => undefined)
    work.then(
      () => {
        done()
        this.#notKept = null
      },
      (error: unknown) => {
        done()
        if (isLasting(error)) this.#notKept ??= { detail: wordsOf(error), sinceMs: this.#parts.clock() }
      },
    )
  }

  /** What keeps readings from being kept, a sentence each, until some are kept again. */
  get ailments(): readonly string[] {
    return this.#notKept ? [`What is measured cannot be kept: ${this.#notKept.detail}.`] : []
  }

  /** Delivery says how a way to a person fares: `null` when it delivers, else why it does not. */
  delivery(channel: string, failure: string | null): void {
    if (failure === null) this.#failing.delete(channel)
    else if (this.#failing.has(channel) || this.#failing.size < MOST_CHANNELS) {
      const sinceMs = this.#failing.get(channel)?.sinceMs ?? this.#parts.clock()
      this.#failing.set(channel, { detail: failure, sinceMs })
    }
  }

  /** Since when a backup has been due that could not be made, and why; `null` while they are made. */
  backup(overdue: SystemFacts['backupOverdue']): void {
    this.#backupOverdue = overdue
  }

  /** A backup took the place of a damaged database. */
  restored(what: { readonly ofMs: number; readonly keptIn: string }): void {
    this.#restored = { ...what, atMs: this.#parts.clock() }
  }

  /** The clock was set back by `byMs`, below 0. */
  setBack(byMs: number): void {
    this.#startedAtMs += byMs
    if (this.#heardBeforeMs !== null) this.#heardBeforeMs += byMs
    this.#memory = timesMoved(this.#memory, byMs)
    this.#notKept = timesMoved(this.#notKept, byMs)
    this.#backupOverdue = timesMoved(this.#backupOverdue, byMs)
    for (const [channel, how] of this.#failing) this.#failing.set(channel, timesMoved(how, byMs))
  }

  /** Looks, and answers with what changed. */
  look(devices: Iterable<HeardDevice>, settings: RulesSettings): readonly Transition[] {
    return this.#taken(judgeSystem(this.#memory, this.#judging(this.#facts(devices, settings), settings)))
  }

  /** What a person does to an alarm of the system's own. */
  act(
    rule: SystemRuleName,
    act: SystemAct,
    devices: Iterable<HeardDevice>,
    settings: RulesSettings,
  ): readonly Transition[] {
    const facts = this.#facts(devices, settings)
    return this.#taken(actOnSystem(this.#memory, rule, act, this.#judging(facts, settings)))
  }

  #taken({ memory, transitions }: SystemJudgement): readonly Transition[] {
    this.#memory = memory
    return transitions
  }

  #judging(facts: SystemFacts, settings: RulesSettings) {
    return { facts, settings, nowMs: this.#parts.clock(), newId: this.#parts.newId }
  }

  #facts(devices: Iterable<HeardDevice>, settings: RulesSettings): SystemFacts {
    const { about: told = [] } = this.#memory[RuleName.powerLost]
    const leastMs = settings[RuleName.powerLost].limit * 1000
    const before = { told, heardBeforeMs: this.#heardBeforeMs, leastMs }
    const failing = [...this.#failing].map(([channel, how]) => ({ channel, ...how }))
    return {
      silentTogether: silentTogether(devices, this.#startedAtMs, this.#parts.clock(), before),
      notKept: this.#notKept,
      commitMs: this.#commits?.longestMs() ?? 0,
      clockJump: this.#clocks?.look() ?? null,
      backupOverdue: this.#backupOverdue,
      restored: this.#restored,
      failing: failing.sort((a, b) => a.sinceMs - b.sinceMs),
    }
  }
}

/** Errors of one record, and of a store that is being closed, say nothing of the disk. */
function isLasting(error: unknown): boolean {
  if (!(error instanceof StoreError)) return true
  return error.code !== StoreErrorCode.closed && error.code !== StoreErrorCode.duplicate
}

const WORDS: Partial<Record<StoreErrorCode, string>> = {
  full: 'the disk is full',
  'read-only': 'the disk can only be read',
  corrupt: 'the database is damaged',
}

function wordsOf(error: unknown): string {
  return (error instanceof StoreError ? WORDS[error.code] : undefined) ?? 'the disk refuses'
}
