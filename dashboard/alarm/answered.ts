import type { LitElement } from 'lit'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import { isUnseen } from './order.ts'

/** Whoever has scrolled farther reads something else. */
const MOST_UNCOVERED_PX = 160

interface Standing {
  readonly standing: (id: string) => Alarm | undefined
  readonly aside: (id: string) => Alarm | undefined
  /** Whether it is still whole, or under way. */
  readonly isOpen: (id: string) => boolean
}

/**
 * Keeps the focus near an alarm that something was done to: the button that was pressed is gone then, and without this the focus
 * would fall back to the top of the page.
 */
export class Answered {
  readonly #host: LitElement
  readonly #known: Standing
  /** As it was when something was done to it, until its line has the focus. */
  #alarm: Alarm | null = null

  constructor(host: LitElement, known: Standing) {
    this.#host = host
    this.#known = known
  }

  did(alarm: Alarm): void {
    this.#alarm = alarm
  }
  forget(): void {
    this.#alarm = null
  }

  /** To be called when the bar has been drawn. */
  follow(): void {
    if (this.#alarm === null) return
    const { id } = this.#alarm
    const { standing, aside, isOpen } = this.#known
    const alarm = standing(id)
    // Until the feed tells of it, its line may go away again, and the focus with it.
    if (alarm && (alarm === this.#alarm || isUnseen(alarm))) return
    if (isOpen(id)) return
    this.#alarm = null
    if (aside(id)?.state === 'shelved') requestAnimationFrame(() => this.#uncover())
    const { renderRoot } = this.#host
    if (renderRoot instanceof ShadowRoot && renderRoot.activeElement) return
    const line = renderRoot.querySelector<HTMLElement>(`button.line[data-id="${CSS.escape(id)}"]`)
    const next = line ?? renderRoot.querySelector<HTMLElement>('.acts button, button.line')
    if (next) next.focus()
    else (this.#host.getRootNode() as ShadowRoot).querySelector<HTMLElement>('#main')?.focus()
  }

  /** On a page that is scrolled a little, the line that tells of what was put off would begin behind the bar. */
  #uncover(): void {
    const line = (this.#host.getRootNode() as ShadowRoot).querySelector('bw-set-aside')
    if (!line) return
    const behindPx = this.#host.getBoundingClientRect().bottom - line.getBoundingClientRect().top
    if (behindPx > 0 && behindPx < MOST_UNCOVERED_PX) window.scrollBy({ top: -behindPx })
  }
}
