/** Where a reader of the feed is: the run of the service, and how many changes it has seen. */
export interface Position {
  readonly epoch: string
  readonly n: number
}

export const cursorOf = ({ epoch, n }: Position): string => `${epoch}.${n}`

export function parseCursor(text: string): Position | undefined {
  const match = /^([\w-]{1,64})\.(\d{1,15})$/.exec(text)
  const [, epoch, n] = match ?? []
  return epoch === undefined ? undefined : { epoch, n: Number(n) }
}

/**
 * The latest changes, numbered from 1, for readers who come back. Holds `limit` of them; older ones are forgotten, and
 * who asks for those needs a snapshot.
 */
export class ChangeLog<Change> {
  readonly #limit: number
  #held: Change[] = []
  #count = 0
  /** Changes up to this one were passed over. */
  #from = 0

  constructor(limit: number) {
    this.#limit = limit
  }

  /** How many there have been: the number of the latest. */
  get count(): number {
    return this.#count
  }

  add(change: Change): void {
    this.#held[(this.#count - this.#from) % this.#limit] = change
    this.#count += 1
  }

  /** Counts a change that nobody will ask for, and forgets all before it. */
  pass(): void {
    if (this.#held.length > 0) this.#held = []
    this.#count += 1
    this.#from = this.#count
  }

  /** The changes after the `n`th, in order; `undefined` when they are no longer, or not yet, known. */
  since(n: number): Change[] | undefined {
    if (n > this.#count || n < Math.max(this.#from, this.#count - this.#limit)) return undefined
    const changes: Change[] = []
    for (let at = n; at < this.#count; at++) {
      const change = this.#held[(at - this.#from) % this.#limit]
      if (change !== undefined) changes.push(change)
    }
    return changes
  }
}
