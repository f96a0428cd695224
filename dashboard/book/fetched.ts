import type { ReactiveController, ReactiveControllerHost } from 'lit'
import { ApiError, request } from '../state/api.ts'

/** One answer of the broker, read when its host appears and whenever it is asked for again. */
export class Fetched<Answer> implements ReactiveController {
  /** `null` while it is not known. */
  value: Answer | null = null
  problem = ''
  readonly #host: ReactiveControllerHost
  readonly #path: () => string | null
  #asked: string | null = null

  constructor(host: ReactiveControllerHost, path: () => string | null) {
    this.#host = host
    this.#path = path
    host.addController(this)
  }
  hostConnected(): void {
    this.#asked = null
    this.#host.requestUpdate()
  }
  hostUpdate(): void {
    const path = this.#path()
    if (path === null || path === this.#asked) return
    this.#asked = path
    void this.again()
  }

  async again(): Promise<void> {
    const path = this.#path()
    if (path === null) return
    try {
      const answer = await request<Answer>('GET', path)
      // Another one is wanted by now.
      if (path !== this.#path()) return
      this.value = answer
      this.problem = ''
    } catch (error) {
      this.problem = error instanceof ApiError ? error.message : 'That could not be read.'
    }
    this.#host.requestUpdate()
  }

  take(answer: Answer): void {
    this.value = answer
    this.#host.requestUpdate()
  }
}
