import { css, html, LitElement, nothing } from 'lit'
import type { Preset } from '../../broker/web/api/books.ts'
import { fieldText, line, problem, Sending } from '../forms/form.ts'
import { request } from '../state/api.ts'
import { FormDraft, hasDraft } from '../state/draft.ts'
import { shared } from '../style/shared.ts'
import { keptGrams } from '../recipe/own-spoons.ts'
import { startPath } from '../recipe/handoff.ts'
import { Watch } from '../state/watch.ts'
import { about, cystSpoons, gramsText, litresText, saltSpoons, scaleGrams } from '../words/amounts.ts'
import { GOAL_WORDS } from '../words/goal.ts'
import { Fetched } from './fetched.ts'

/** The amounts of a batch, to be kept under a name. */
export interface Amounts {
  readonly litres: number
  readonly cystsG: number
  readonly salinityGpl: number
  readonly goal?: Preset['goal']
}

const draftOf = (vesselId: string | null): string => `own-recipe.${vesselId ?? 'any'}`

/** Tells that a recipe was chosen; its `detail` is the recipe. */
export const chosenEvent = (detail: Preset): CustomEvent<Preset> =>
  new CustomEvent('bw-recipe', { detail, bubbles: true, composed: true })

/** Recipes of one's own: taken, kept from what stands there, renamed, put away. */
export class OwnRecipes extends LitElement {
  static override properties = {
    vesselId: { attribute: false },
    amounts: { attribute: false },
    /** Only to keep amounts: there is nothing to fill in. */
    keepOnly: { type: Boolean, attribute: 'keep-only' },
    all: { type: Boolean },
    renaming: { state: true },
    dropping: { state: true },
    said: { state: true },
  }
  declare vesselId: string | null
  /** What would be kept; `null` while it is no recipe. */
  declare amounts: Amounts | null
  declare keepOnly: boolean
  /** Those of every vessel with all that goes in, on their own page. */
  declare all: boolean
  declare renaming: string
  declare dropping: string
  declare said: string
  readonly #sending = new Sending(this)
  readonly #vessels = new Watch(this, from => from.state.vessels)
  readonly #presets = new Fetched<{ presets: readonly Preset[]; names?: Readonly<Record<string, string>> }>(
    this,
    () => '/presets',
  )
  readonly #draft = new FormDraft(this, () => draftOf(this.vesselId))
  /** A name was half typed when the page closed. */
  get #halfTyped(): boolean {
    return hasDraft(draftOf(this.vesselId))
  }

  constructor() {
    super()
    this.vesselId = null
    this.amounts = null
    this.keepOnly = false
    this.all = false
    this.renaming = ''
    this.dropping = ''
    this.said = ''
  }

  static override styles = [
    shared,
    css`
      ul {
        margin: 0;
        padding: 0;
        list-style: none;
      }
      li {
        display: grid;
        gap: 4px;
        border-top: 1px solid var(--line);
        padding: 8px 0;
      }
      .acts {
        display: flex;
        flex-wrap: wrap;
        gap: 8px;
      }
      .acts button {
        min-height: 48px;
        padding: 6px 16px;
      }
      strong {
        overflow-wrap: anywhere;
      }
    `,
  ]

  override render() {
    const presets = this.#presets.value?.presets ?? []
    const own = presets.filter(({ vesselId }) => this.all || vesselId === null || vesselId === this.vesselId)
    if (this.all) return this.#every(own)
    return html`<details ?open=${!this.keepOnly && own.length > 0}>
      <summary>Your own recipes${own.length > 0 ? `: ${own.length}` : ''}</summary>
      <p class="hidden" role="status">${this.said}</p>
      ${this.#presets.problem ? html`<p class="failed" role="status">${this.#presets.problem}</p>` : nothing}
      <ul>
        ${own.map(preset => this.#preset(preset))}
      </ul>
      ${problem(this.#sending)}
      ${
        this.keepOnly || own.length === 0
          ? this.#keeping()
          : html`<details ?open=${this.#halfTyped}>
              <summary>Keep these amounts as a recipe</summary>
              ${this.#keeping()}
            </details>`
      }
    </details>`
  }

  #keeping() {
    return html`<form novalidate @submit=${this.#keep}>
      ${line('name', 'Keep these amounts as', this.#sending, {
        maxLength: 80,
        hint: this.amounts ? amountsText(this.amounts) : 'Write the amounts first',
      })}
      ${
        this.vesselId === null
          ? nothing
          : html`<label class="choice"
              ><input type="checkbox" name="usual" /> The usual one of this vessel: two taps start it</label
            >`
      }
      <button class="quiet" ?disabled=${this.#sending.busy || this.amounts === null}>Keep the recipe</button>
    </form>`
  }

  #every(own: readonly Preset[]) {
    return html`<p class="hidden" role="status">${this.said}</p>
      ${this.#presets.problem ? html`<p class="failed" role="status">${this.#presets.problem}</p>` : nothing}
      ${
        this.#presets.value && own.length === 0
          ? html`<p>
              None yet. The amounts of a batch are kept as a recipe where it is set up step by step, or on its
              batch sheet.
            </p>`
          : nothing
      }
      <ul>
        ${own.map(preset => this.#preset(preset))}
      </ul>
      ${problem(this.#sending)}`
  }

  #preset(preset: Preset) {
    const { id, name, vesselId } = preset
    if (this.renaming === id)
      return html`<li>
        <form novalidate @submit=${(event: SubmitEvent) => void this.#rename(event, preset)}>
          ${line('new-name', 'Name', this.#sending, { value: name, maxLength: 80 })}
          <div class="acts">
            <button ?disabled=${this.#sending.busy}>Rename</button>
            <button type="button" class="quiet" @click=${() => (this.renaming = '')}>Leave it</button>
          </div>
        </form>
      </li>`
    const asked = this.dropping === id
    return html`<li>
      <strong>${name}</strong>
      <span class="soft">${amountsText(preset)}${this.#usualOf(vesselId)}</span>
      ${this.all ? this.#goesIn(preset) : nothing}
      <div class="acts">
        ${
          this.keepOnly || this.all
            ? nothing
            : html`<button type="button" @click=${() => this.#take(preset)}>
                Take it<span class="hidden">: ${name}</span>
              </button>`
        }
        <button type="button" class="quiet" @click=${() => (this.renaming = id)}>
          Rename<span class="hidden"> ${name}</span>
        </button>
        <button
          type="button"
          class="quiet"
          @click=${() => (asked ? void this.#drop(preset) : (this.dropping = id))}
        >
          ${asked ? 'Yes, put it away' : 'Put away'}<span class="hidden">: ${name}</span>
        </button>
      </div>
    </li>`
  }

  #usualOf(vesselId: string | null): string {
    if (vesselId === null) return ''
    if (!this.all) return '; the usual one of this vessel'
    const name = this.#vessels.value.get(vesselId)?.name ?? this.#presets.value?.names?.[vesselId]
    return name === undefined ? '' : `; the usual one of ${name}`
  }

  /** What goes in, as it is measured out, and the empty vessels that it fits. */
  #goesIn({ litres, cystsG, salinityGpl, goal, vesselId }: Preset) {
    const free = [...this.#vessels.value.values()].filter(
      each => !each.batch && each.litres >= litres && (vesselId === null || vesselId === each.id),
    )
    const saltG = litres * salinityGpl
    return html`<span
        >${scaleGrams(cystsG)} g of cysts are ${about(cystSpoons(cystsG, keptGrams('cystSpoonG')))};
        ${scaleGrams(saltG)} g of salt ${about(saltSpoons(saltG, keptGrams('saltSpoonG')))}.
        ${GOAL_WORDS[goal].name}: ${GOAL_WORDS[goal].means}.</span
      >
      ${
        free.length === 0
          ? html`<span class="soft">No vessel that it fits is empty now.</span>`
          : html`<div class="acts">
              ${free.map(
                each =>
                  html`<a
                    class="button quiet"
                    href=${startPath(each.id, { litres, cystsG, salinityGpl, goal })}
                    >Start it in ${each.name}</a
                  >`,
              )}
            </div>`
      }`
  }

  #take(preset: Preset): void {
    this.said = `${preset.name} is filled in.`
    this.dispatchEvent(chosenEvent(preset))
  }

  readonly #keep = async (event: SubmitEvent): Promise<void> => {
    event.preventDefault()
    const { amounts } = this
    const form = event.currentTarget as HTMLFormElement
    const name = fieldText(form, 'name').trim()
    if (name === '') return this.#sending.refuse(new Map([['name', 'Write a name for it.']]))
    if (!amounts) return
    const vesselId = new FormData(form).has('usual') ? this.vesselId : null
    const done = await this.#sending.send(() => request('POST', '/presets', { name, vesselId, ...amounts }))
    if (!done) return
    this.#draft.drop()
    form.reset()
    this.said = `${name} is kept.`
    await this.#presets.again()
  }

  async #rename(event: SubmitEvent, { id, ...rest }: Preset): Promise<void> {
    event.preventDefault()
    const name = fieldText(event.currentTarget as HTMLFormElement, 'new-name').trim()
    if (name === '') return this.#sending.refuse(new Map([['new-name', 'Write a name for it.']]))
    const path = `/presets/${encodeURIComponent(id)}`
    if (!(await this.#sending.send(() => request('PUT', path, { ...rest, name })))) return
    this.renaming = ''
    this.said = `It is called ${name} now.`
    await this.#presets.again()
  }

  async #drop({ id, name }: Preset): Promise<void> {
    if (!(await this.#sending.send(() => request('DELETE', `/presets/${encodeURIComponent(id)}`)))) return
    this.dropping = ''
    this.said = `${name} is put away.`
    await this.#presets.again()
  }
}
customElements.define('bw-own-recipes', OwnRecipes)

const amountsText = ({ litres, cystsG, salinityGpl }: Amounts): string =>
  `${litresText(litres)} of water, ${gramsText(cystsG)} of cysts, ${Number(salinityGpl.toFixed(1))} g/L salt`
