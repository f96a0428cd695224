import type { ReactiveController, ReactiveControllerHost } from 'lit'

/** Knows whether a part of an element is out of the screen's sight, with less than half of it to be seen. */
export class OutOfSight implements ReactiveController {
  /** Nobody knows yet: it counts as seen. */
  is = false
  /** It was not come to yet: it lies below what is seen, as it does when a page is opened. */
  isBelow = true
  readonly #host: ReactiveControllerHost & { readonly renderRoot: ParentNode }
  readonly #selector: string
  #watched: Element | null = null
  readonly #seen = new IntersectionObserver(
    entries => {
      const last = entries.at(-1)
      const is = (last?.intersectionRatio ?? 1) < 0.5
      const isBelow = is && (last?.boundingClientRect.top ?? 0) > 0
      if (is === this.is && isBelow === this.isBelow) return
      this.is = is
      this.isBelow = isBelow
      this.#host.requestUpdate()
    },
    // What stands at the foot of the screen, and the bar on its top, lie over it.
    { threshold: 0.5, rootMargin: '-60px 0px -200px 0px' },
  )

  constructor(host: ReactiveControllerHost & { readonly renderRoot: ParentNode }, selector: string) {
    this.#host = host
    this.#selector = selector
    host.addController(this)
  }
  hostUpdated(): void {
    const part = this.#host.renderRoot.querySelector(this.#selector)
    if (part === this.#watched) return
    this.#seen.disconnect()
    this.#watched = part
    if (part) this.#seen.observe(part)
  }
  hostDisconnected(): void {
    this.#seen.disconnect()
    this.#watched = null
  }
}
