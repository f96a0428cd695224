import type { Logger } from 'pino'
import { StoreError, StoreErrorCode } from '../store/contract.ts'

export interface BackgroundWork {
  /** It is done anew when it is next needed, so a store that closes may cut it short, and nothing is lost. */
  readonly doneAnew?: boolean
}

/** What the room does that nobody waits for. A failure is logged under the work's name. */
export class Background {
  readonly #logger: Pick<Logger, 'error'>
  readonly #toBeKept = new Set<Promise<void>>()

  constructor(logger: Pick<Logger, 'error'>) {
    this.#logger = logger
  }

  start(name: string, work: Promise<unknown>, { doneAnew = false }: BackgroundWork = {}): void {
    const watched = work.then(
      () => undefined,
      (error: unknown) => {
        if (!doneAnew || !isClosed(error)) this.#logger.error({ error }, `${name} failed`)
      },
    )
    if (doneAnew) return
    this.#toBeKept.add(watched)
    void watched.then(() => this.#toBeKept.delete(watched))
  }

  /** Resolves once nothing is under way that a closing store must not cut short. Never rejects. */
  async settled(): Promise<void> {
    while (this.#toBeKept.size > 0) await Promise.all(this.#toBeKept)
  }
}

const isClosed = (error: unknown): boolean =>
  error instanceof StoreError && error.code === StoreErrorCode.closed
