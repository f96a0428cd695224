import { css, html, nothing, type TemplateResult } from 'lit'

/** What is counted under the lens, each with how it looks. */
export type Counted = 'nauplii' | 'umbrella' | 'embryos'

export const COUNTED: Record<Counted, { readonly name: string; readonly one: string }> = {
  nauplii: { name: 'Nauplii', one: 'nauplius' },
  umbrella: { name: 'Umbrellas', one: 'umbrella' },
  embryos: { name: 'Unhatched', one: 'unhatched cyst' },
}

/** The whole number that stands in a counter; in an empty one nothing was counted so far. `null` for what is no count. */
export function readCount(text: string): number | null {
  const trimmed = text.trim()
  if (trimmed === '') return 0
  return /^\d{1,7}$/.test(trimmed) && Number(trimmed) <= 1_000_000 ? Number(trimmed) : null
}

/** What was counted beside the nauplii: a counter that stands empty was not counted, and a zero that was typed is a count. */
export function countedToo(
  counts: Readonly<Record<Counted, string>>,
  read: (what: Counted) => number,
): { umbrella?: number; embryos?: number } {
  return {
    ...(counts.umbrella.trim() === '' ? {} : { umbrella: read('umbrella') }),
    ...(counts.embryos.trim() === '' ? {} : { embryos: read('embryos') }),
  }
}

/** A counter for wet thumbs: a pad that adds one at each tap, the number to type into, and one less for a slip. */
export function tally(
  what: Counted,
  text: string,
  wrong: string | undefined,
  set: (text: string) => void,
): TemplateResult {
  const { name, one } = COUNTED[what]
  const count = readCount(text) ?? 0
  const optional = what !== 'nauplii'
  return html`<div class="tally ${what}" role="group" aria-label=${name}>
    <button type="button" class="pad" @click=${() => set(String(count + 1))}>
      ${picture(what)} <span>+1<span class="hidden"> ${one}, ${count} so far</span></span>
    </button>
    <label for="count-${what}"
      >${name}${optional && text.trim() === '' ? html`<small class="soft">, not counted</small>` : nothing}</label
    >
    <input
      id="count-${what}"
      name=${what}
      inputmode="numeric"
      autocomplete="off"
      maxlength="7"
      placeholder=${what === 'nauplii' ? '0' : '–'}
      .value=${text}
      aria-invalid=${wrong ? 'true' : 'false'}
      aria-describedby="count-${what}-wrong"
      @input=${(event: InputEvent) => set((event.target as HTMLInputElement).value)}
    />
    <button type="button" class="less quiet" ?disabled=${count === 0} @click=${() => set(String(count - 1))}>
      −1<span class="hidden"> ${one}</span>
    </button>
    <span class="wrong" id="count-${what}-wrong" ?hidden=${!wrong}>${wrong ?? ''}</span>
  </div>`
}

/** As it looks under the lens: swimming, hanging from its shell, still a cyst. */
function picture(what: Counted) {
  switch (what) {
    case 'nauplii':
      return html`<svg viewBox="-20 -16 40 32" width="44" height="36" aria-hidden="true">
        <g fill="none" stroke="currentColor" stroke-width="2.4" stroke-linecap="round">
          <ellipse rx="9" ry="5.5" fill="currentColor" />
          <path d="M4 -4 q5 -9 12 -8 M4 4 q5 9 12 8 M2 -5 q2 -7 8 -10 M2 5 q2 7 8 10" />
        </g>
      </svg>`
    case 'umbrella':
      return html`<svg viewBox="-14 -16 28 34" width="30" height="36" aria-hidden="true">
        <path d="M-10 -6 A10 9 0 0 1 10 -6 L5 -3 L-4 -7 Z" fill="currentColor" />
        <path
          d="M0 -4 C-7 2 -6 14 0 15 C6 14 7 2 0 -4 Z"
          fill="none"
          stroke="currentColor"
          stroke-width="2.4"
        />
      </svg>`
    case 'embryos':
      return html`<svg viewBox="-14 -14 28 28" width="30" height="30" aria-hidden="true">
        <circle r="10" fill="none" stroke="currentColor" stroke-width="2.4" />
        <circle r="5.5" fill="currentColor" />
      </svg>`
  }
}

export const tallyStyle = css`
  .tally {
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto;
    gap: 6px 10px;
    align-items: center;
  }
  .tally .pad {
    grid-column: 1 / -1;
    min-height: 84px;
    border-radius: 18px;
    font-size: 1.25rem;
    gap: 14px;
    background: var(--raised);
    color: var(--ink);
    border-color: var(--line-strong);
    user-select: none;
  }
  .tally .pad:active {
    background: var(--line);
  }
  .tally.nauplii .pad {
    min-height: 116px;
    font-size: 1.625rem;
    background: var(--nauplii);
    border-color: var(--nauplii);
    color: var(--on-nauplii);
  }
  .tally label {
    grid-column: 1 / -1;
    font-weight: 650;
  }
  .tally small {
    font-weight: 400;
    font-size: 0.9375rem;
  }
  .tally input {
    font-size: 1.75rem;
    font-weight: 750;
    text-align: center;
    font-variant-numeric: tabular-nums;
  }
  .tally .less {
    border-radius: 14px;
  }
  .tally .wrong {
    grid-column: 1 / -1;
    color: var(--hot);
    font-weight: 650;
    font-size: 0.9375rem;
  }
`
