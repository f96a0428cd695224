import type { Logger } from 'pino'
import { StoreError, StoreErrorCode } from '../store/contract.ts'

/** So much waits for a disk that refuses; a room's alarms and their steps of many hours. At the limit the oldest is given up. */
const MOST = 2000

type Write = () => Promise<unknown>

/**
 * What nobody waits for and what must be on disk all the same: an alarm that was raised while the disk was full, what the rules
 * remember. What could not be kept is held here, its newest state alone, and written once the disk takes something again.
 */
export class Unkept {
  readonly #logger: Pick<Logger, 'error'>
  readonly #held = new Map<string, { readonly name: string; readonly write: Write }>()
  #trying = false

  constructor(logger: Pick<Logger, 'error'>) {
    this.#logger = logger
  }

  get size(): number {
    return this.#held.size
  }

  /** Writes now; if that fails, again later. `key` names what is written: what comes later takes the place of what came before. */
  keep(name: string, key: string, write: Write): void {
    void this.#write(name, key, write)
  }

  /** To be called now and then: tries with the first, and when the disk takes it with the others. */
  async retry(): Promise<void> {
    if (this.#trying || this.#held.size === 0) return
    this.#trying = true
    try {
      for (const [key, { name, write }] of [...this.#held]) {
        // Something newer may have been kept, or failed, in the meantime.
        if (this.#held.get(key)?.write !== write) continue
        if (!(await this.#write(name, key, write))) return
      }
    } finally {
      this.#trying = false
    }
  }

  async #write(name: string, key: string, write: Write): Promise<boolean> {
    try {
      await write()
      this.#held.delete(key)
      return true
    } catch (error) {
      if (!this.#held.has(key)) this.#logger.error({ error }, `${name} failed; it is tried again`)
      if (error instanceof StoreError && error.code === StoreErrorCode.closed) return false
      this.#held.set(key, { name, write })
      if (this.#held.size > MOST) this.#held.delete(this.#held.keys().next().value!)
      return false
    }
  }
}
