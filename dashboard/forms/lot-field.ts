import {
  css,
  html,
  nothing,
  type ReactiveController,
  type ReactiveControllerHost,
  type TemplateResult,
} from 'lit'
import type { Lot } from '../../broker/web/api/events.ts'
import type { LotOnShelf } from '../../broker/web/api/books.ts'
import { request } from '../state/api.ts'
import { knownLot } from '../words/lot-name.ts'
import { line, type Sending } from './form.ts'

/** So many lots can be tapped; older ones are typed, and taken as themselves. */
const TAPPED = 5

/**
 * Those on the shelf first, so that what the plan says to start is among them, also before it was ever used; then those that were used before,
 * the last used first.
 */
export function namesToTap(
  used: readonly Pick<Lot, 'name' | 'lastUsedAt'>[],
  shelf: readonly Pick<LotOnShelf, 'name' | 'putAwayAt'>[],
): readonly string[] {
  const onShelf = shelf.filter(({ putAwayAt }) => putAwayAt === null).map(({ name }) => name)
  const before = [...used]
    .sort((a, b) => Date.parse(b.lastUsedAt) - Date.parse(a.lastUsedAt))
    .map(({ name }) => name)
  return [...new Set([...onShelf, ...before])]
}

/** The names of the lots that can be tapped; empty until they are known. */
export class KnownLots implements ReactiveController {
  names: readonly string[] = []
  readonly #host: ReactiveControllerHost

  constructor(host: ReactiveControllerHost) {
    this.#host = host
    host.addController(this)
  }
  hostConnected(): void {
    void this.#ask()
  }

  async #ask(): Promise<void> {
    try {
      const [{ lots }, shelf] = await Promise.all([
        request<{ lots: Lot[] }>('GET', '/lots'),
        request<{ lots: LotOnShelf[] }>('GET', '/shelf').catch(() => ({ lots: [] })),
      ])
      this.names = namesToTap(lots, shelf.lots)
      this.#host.requestUpdate()
    } catch {
      // A lot can be typed without them.
    }
  }
}

/** The lot's name: typed as it stands on the tin, or one that is known by one tap. */
export function lotField(
  sending: Sending,
  lots: KnownLots,
  typed: string,
  set: (lot: string) => void,
): TemplateResult {
  const taken = knownLot(typed, lots.names)
  const hint =
    taken !== null && taken !== typed.trim()
      ? html`<strong>Taken as ${taken}</strong>`
      : 'As on the tin; may stay empty'
  return html`<div class="lot">
    ${line('lot', 'Lot of cysts', sending, { value: typed, maxLength: 80, hint, onInput: set })}
    ${
      lots.names.length === 0
        ? nothing
        : html`<div class="known" role="group" aria-label="Known lots">
            ${lots.names.slice(0, TAPPED).map(
              name =>
                html`<button
                  type="button"
                  class="quiet"
                  aria-pressed=${taken === name ? 'true' : 'false'}
                  @click=${() => {
                    sending.corrected('lot')
                    set(name)
                  }}
                >
                  ${name}
                </button>`,
            )}
          </div>`
    }
  </div>`
}

export const lotStyle = css`
  .lot {
    display: grid;
    gap: 8px;
    align-content: start;
    min-width: 0;
  }
  .known {
    display: flex;
    flex-wrap: wrap;
    gap: 8px;
  }
  .known button {
    min-height: 48px;
    padding: 6px 14px;
    font-size: 1rem;
    overflow-wrap: anywhere;
  }
`
