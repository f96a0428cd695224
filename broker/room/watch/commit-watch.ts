/** The longest commit is remembered so long, ms: one slow commit alone is over before a rule's delay is. */
const REMEMBERED_MS = 30_000
/** Commits under way at once that are timed; the store has two. */
const MOST_OPEN = 64

/** Times commits by a clock that is never set. */
export class CommitWatch {
  readonly #nowMs: () => number
  readonly #open = new Set<{ readonly sinceMs: number }>()
  #longest = { tookMs: 0, atMs: -Infinity }

  constructor(nowMs: () => number) {
    this.#nowMs = nowMs
  }

  /** A commit was asked for; call what is returned once it has ended. */
  begin(): () => void {
    if (this.#open.size >= MOST_OPEN) return () => undefined
    const one = { sinceMs: this.#nowMs() }
    this.#open.add(one)
    return () => {
      if (!this.#open.delete(one)) return
      const atMs = this.#nowMs()
      const tookMs = atMs - one.sinceMs
      if (tookMs >= this.#longest.tookMs || atMs - this.#longest.atMs > REMEMBERED_MS)
        this.#longest = { tookMs, atMs }
    }
  }

  /** Of those that ended of late, and of those under way so far, ms. */
  longestMs(): number {
    const nowMs = this.#nowMs()
    let longest = nowMs - this.#longest.atMs <= REMEMBERED_MS ? this.#longest.tookMs : 0
    for (const { sinceMs } of this.#open) longest = Math.max(longest, nowMs - sinceMs)
    return longest
  }
}
