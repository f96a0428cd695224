import { type ChannelKind, FailureKind, type DeliveryError } from './contract.ts'

/** An address fails once so many attempts in a row did, over so long: a receiver that restarts is not worth a call. */
const FAILURES = 3
const FAILING_AFTER_MS = 60_000

/** Whether a channel delivers. */
export interface ChannelReport {
  readonly kind: ChannelKind
  readonly failing: boolean
  /** What is wrong, in plain words; empty when all is well. */
  readonly words: string
}

interface AddressHealth {
  readonly kind: ChannelKind
  failures: number
  firstAtMs: number
  failing: boolean
  words: string
}

/** Which channels deliver, told from how the attempts at each address end. A channel fails while one of its addresses does. */
export class ChannelHealth {
  readonly #addresses = new Map<string, AddressHealth>()
  readonly #reported = new Map<ChannelKind, boolean>()
  readonly #report: (report: ChannelReport) => void

  constructor(report: (report: ChannelReport) => void) {
    this.#report = report
  }

  get failing(): ReadonlySet<ChannelKind> {
    return new Set([...this.#addresses.values()].filter(each => each.failing).map(({ kind }) => kind))
  }

  delivered(addressId: string, kind: ChannelKind): void {
    this.#addresses.delete(addressId)
    this.#tell(kind)
  }

  failed(addressId: string, kind: ChannelKind, error: DeliveryError, nowMs: number): void {
    const health = this.#addresses.get(addressId) ?? {
      kind,
      failures: 0,
      firstAtMs: nowMs,
      failing: false,
      words: '',
    }
    health.failures += 1
    health.words = error.message
    health.failing ||=
      error.failure !== FailureKind.temporary ||
      (health.failures >= FAILURES && nowMs - health.firstAtMs >= FAILING_AFTER_MS)
    this.#addresses.set(addressId, health)
    this.#tell(kind)
  }

  /** Forgets addresses that nobody has any more. */
  keepOnly(addressIds: ReadonlySet<string>): void {
    for (const [id, { kind }] of this.#addresses) {
      if (addressIds.has(id)) continue
      this.#addresses.delete(id)
      this.#tell(kind)
    }
  }

  /** Only changes are told, and the first that is known. */
  #tell(kind: ChannelKind): void {
    const bad = [...this.#addresses.values()].find(each => each.kind === kind && each.failing)
    const failing = bad !== undefined
    if (this.#reported.get(kind) === failing) return
    this.#reported.set(kind, failing)
    this.#report({ kind, failing, words: bad?.words ?? '' })
  }
}
