import type { VesselKind } from './vessel-kinds.ts'

interface Span {
  readonly fromMs: number
  readonly freeMs: number
}

/** Which vessels of each kind are in use when, as a search fills them. */
export class Occupancy {
  readonly #spans: Span[][]
  readonly #kinds: readonly VesselKind[]

  constructor(kinds: readonly VesselKind[]) {
    this.#kinds = kinds
    this.#spans = kinds.map(() => [])
  }

  take(kindAt: number, span: Span): void {
    this.#spans[kindAt]?.push(span)
  }

  release(kindAt: number, span: Span): void {
    const spans = this.#spans[kindAt] ?? []
    const at = spans.indexOf(span)
    if (at >= 0) spans.splice(at, 1)
  }

  /** Whether one span may take the place of another one. */
  fitsInstead(kindAt: number, old: Span, span: Span): boolean {
    return kindAt < 0 || old === span || this.fits(kindAt, span, old)
  }

  /** Whether one more vessel of the kind is there for the whole span. */
  fits(kindAt: number, { fromMs, freeMs }: Span, instead?: Span): boolean {
    const vessels = this.#kinds[kindAt]?.vessels ?? []
    const over = (this.#spans[kindAt] ?? []).filter(
      span => span.fromMs < freeMs && fromMs < span.freeMs && span !== instead,
    )
    const fitsAt = (atMs: number): boolean => {
      const used = over.filter(span => span.fromMs <= atMs && atMs < span.freeMs).length
      return used < vessels.filter(({ freeFromMs }) => freeFromMs <= atMs).length
    }
    return fitsAt(fromMs) && over.every(span => span.fromMs < fromMs || fitsAt(span.fromMs))
  }
}
