import { StoreError } from './contract.ts'
import type { Failure, Outcome } from './outcome.ts'
import type { GroupWriter } from './writer.ts'
import type { WorkOf, WriteTable } from './writes.ts'

interface Waiting {
  readonly resolve: (answer: never) => void
  readonly reject: (error: StoreError) => void
}

/** What is written in one transaction. */
interface Group<W extends WriteTable<W>> {
  readonly doing: string
  readonly works: WorkOf<W>[]
  /** Who waits for each piece of work; `null` where all wait for the whole. */
  readonly waiting: (Waiting | null)[]
  readonly whole: Promise<void>
  readonly resolve: () => void
  readonly reject: (error: StoreError) => void
  /** How to take back what memory already holds of it. */
  readonly undo: (() => void)[]
  /** Packs in it. */
  packs: number
}

export interface GroupHooks {
  /** Before a group is written: adds what was gathered beside it. */
  closing: () => void
  /** After each group that is on disk. */
  committed: () => void
}

/**
 * So many packs are worth a commit before the turn ends: the disk works while the rest of a long turn is read. Measured: with a
 * fourth of it, the more frequent commits cost 8 % more processor time a pack.
 */
const EARLY_PACKS = 512

/**
 * Writes all that is kept in one turn of the event loop in one transaction at the turn's end, or as soon as the group before
 * has ended: under load the groups grow by themselves, and a lone write does not wait. One group is under way, one gathers;
 * what is kept without a break is always in one. On a memory card each commit wears it by some pages: there packs may be let
 * gather longer, and are acknowledged later for that; whatever else is kept takes them along at once.
 */
export class GroupCommit<W extends WriteTable<W>> {
  readonly #writer: GroupWriter<W>
  readonly #hooks: GroupHooks
  #gathering: Group<W> | null = null
  #underWay: Group<W> | null = null
  /** What may only be done while nothing is under way. */
  readonly #jobs: (() => void)[] = []
  #scheduled: NodeJS.Immediate | null = null
  /** How long packs may gather where nothing else is kept with them, ms. */
  readonly #gatherMs: number
  #lazily: NodeJS.Timeout | null = null
  /** Something in the group that gathers is waited for. */
  #hurried = false

  constructor(writer: GroupWriter<W>, hooks: GroupHooks, gatherMs = 0) {
    this.#writer = writer
    this.#hooks = hooks
    this.#gatherMs = gatherMs
  }

  /**
   * Resolves with the answer once the work is on disk; calls resolve in their order. A StoreError thrown by the work is its own
   * refusal; any other failure rejects the whole group, and the one that gathers behind it, which counts on it.
   */
  keep<K extends keyof W>(kind: K, what: W[K]['what']): Promise<W[K]['answer']> {
    const group = this.#gather()
    return new Promise((resolve, reject) => {
      group.works.push({ kind, what })
      group.waiting.push({ resolve, reject })
      this.#hurry()
    })
  }

  /** The same for work that nobody waits for by itself. */
  add<K extends keyof W>(kind: K, what: W[K]['what']): void {
    const group = this.#gather()
    group.works.push({ kind, what })
    group.waiting.push(null)
  }

  /** Counts one more pack, and resolves once all that gathers is on disk: one promise for all of them. */
  pack(): Promise<void> {
    const group = this.#gather()
    group.packs++
    if (this.#writer.overlaps && group.packs % EARLY_PACKS === 0) queueMicrotask(() => this.#early())
    return group.whole
  }

  /** For work that changes memory before it is on disk: how to take that back if the group fails. */
  onFailure(undo: () => void): void {
    this.#gather().undo.push(undo)
  }

  /** Resolves once all that was kept before is on disk, and rejects when that could not be kept. */
  settled(): Promise<void> {
    this.#hurry()
    return (this.#gathering ?? this.#underWay)?.whole ?? Promise.resolve()
  }

  /** Runs the job as soon as no group is under way, and before the next one is. */
  whenFree<T>(job: () => T): Promise<T> {
    return new Promise((resolve, reject) => {
      this.#jobs.push(() => {
        try {
          resolve(job())
        } catch (error) {
          reject(error instanceof Error ? error : new Error(String(error)))
        }
      })
      this.#goOn()
    })
  }

  /** Does what `make` answers in a transaction of its own, as soon as no group is under way. */
  async alone<K extends keyof W>(doing: string, kind: K, make: () => W[K]['what']): Promise<W[K]['answer']> {
    const answer = await this.whenFree(() => {
      const group = newGroup<W>(doing)
      const promise = new Promise<W[K]['answer']>((resolve, reject) => {
        group.waiting.push({ resolve, reject })
      })
      promise.catch(() => undefined)
      group.works.push({ kind, what: make() })
      this.#begin(group, outcome => {
        if (outcome.failure === null) this.#settle(group, outcome)
        else for (const waiting of group.waiting) waiting?.reject(errorOf(outcome.failure))
        // Nothing that was kept hangs on it.
        group.resolve()
      })
      return { promise }
    })
    return answer.promise
  }

  /** Resolves once nothing gathers and nothing is under way. */
  async drained(): Promise<void> {
    for (;;) {
      this.#flush()
      const last = this.#gathering ?? this.#underWay
      if (last === null) return
      await last.whole.catch(() => undefined)
    }
  }

  #gather(): Group<W> {
    if (this.#gathering === null) {
      this.#gathering = newGroup<W>('keep what came in')
      this.#schedule()
    }
    return this.#gathering
  }

  #hurry(): void {
    if (this.#hurried || this.#gathering === null) return
    this.#hurried = true
    this.#schedule()
  }

  #schedule(): void {
    if (this.#gatherMs > 0 && !this.#hurried) {
      this.#lazily ??= setTimeout(() => {
        this.#lazily = null
        this.#flush()
      }, this.#gatherMs).unref()
      return
    }
    this.#scheduled ??= setImmediate(() => {
      this.#scheduled = null
      if (this.#underWay !== null) this.#writer.poll()
      this.#flush()
    })
  }

  #early(): void {
    if (this.#underWay !== null) this.#writer.poll()
    if (this.#gathering !== null && this.#gathering.packs >= EARLY_PACKS) this.#flush()
  }

  /** Begins the group that gathers, if it may. */
  #flush(): void {
    if (this.#underWay !== null || this.#gathering === null) return
    this.#hooks.closing()
    const group = this.#gathering
    this.#gathering = null
    this.#hurried = false
    if (this.#lazily !== null) clearTimeout(this.#lazily)
    this.#lazily = null
    const ended = (outcome: Outcome) => {
      if (outcome.failure !== null) this.#fail(group, outcome.failure)
      else {
        this.#settle(group, outcome)
        this.#hooks.committed()
      }
    }
    // A repeat alone brings nothing to write.
    if (group.works.length === 0) ended({ failure: null, answers: [], refused: [] })
    else this.#begin(group, ended)
  }

  #begin(group: Group<W>, ended: (outcome: Outcome) => void): void {
    this.#underWay = group
    this.#writer.write(group.doing, group.works, outcome => {
      this.#underWay = null
      ended(outcome)
      this.#goOn()
    })
  }

  #goOn(): void {
    while (this.#underWay === null && this.#jobs.length > 0) this.#jobs.shift()!()
    if (this.#underWay === null && this.#gathering !== null) this.#schedule()
  }

  #settle(group: Group<W>, { answers, refused }: Outcome): void {
    const refusals = new Map(refused.map(one => [one.index, one]))
    group.waiting.forEach((waiting, index) => {
      const refusal = refusals.get(index)
      if (refusal === undefined) waiting?.resolve(answers[index] as never)
      else waiting?.reject(errorOf(refusal))
    })
    group.resolve()
  }

  /** Takes back the group, and first the one behind it, newest change first. */
  #fail(group: Group<W>, failure: Failure): void {
    const behind = this.#gathering
    this.#gathering = null
    for (const one of [behind, group]) for (const undo of one?.undo.reverse() ?? []) undo()
    refuse(group, failure)
    if (behind !== null) refuse(behind, failure)
  }
}

function newGroup<W extends WriteTable<W>>(doing: string): Group<W> {
  let resolve!: () => void
  let reject!: (error: StoreError) => void
  const whole = new Promise<void>((yes, no) => {
    resolve = yes
    reject = no
  })
  // It may be that nobody waits for the whole.
  whole.catch(() => undefined)
  return { doing, works: [], waiting: [], whole, resolve, reject, undo: [], packs: 0 }
}

function refuse<W extends WriteTable<W>>(group: Group<W>, failure: Failure): void {
  const error = errorOf(failure)
  for (const waiting of group.waiting) waiting?.reject(error)
  group.reject(error)
}

function errorOf({ code, message }: Failure): StoreError {
  return new StoreError(code, message)
}
