import { html, LitElement, nothing, type PropertyValues } from 'lit'
import { Buffer, WaterKind } from '../../broker/hatch/recipe/buffer.ts'
import { USUAL_CYSTS_GPL, USUAL_CYSTS_HINT } from '../../broker/hatch/recipe/cysts.ts'
import { recipe, type Recipe } from '../../broker/hatch/recipe/recipe.ts'
import { BRIM_OF_FILL, USUAL_SALINITY_GPL } from '../../broker/hatch/recipe/usual.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { line, list, Sending } from '../forms/form.ts'
import { startPath } from '../recipe/handoff.ts'
import '../recipe/hydrometer.ts'
import { isKept, keepText, keptText } from '../recipe/own-spoons.ts'
import {
  atAGlance,
  effectList,
  goesIn,
  inOneSentence,
  litres,
  stepList,
  warningList,
} from '../recipe/rows.ts'
import { shelfStyle } from '../recipe/shelf-style.ts'
import { recipeStyle } from '../recipe/style.ts'
import { readWish, stepped, type NumberField, type WishText } from '../recipe/wish.ts'
import { dropDraft, keepDraft, readDraft } from '../state/draft.ts'
import { Watch } from '../state/watch.ts'
import { place } from '../style/place.ts'
import { shared } from '../style/shared.ts'
import { RIGHT } from '../vessel/colour.ts'
import '../vessel/cone.ts'
import { DRY, type ConePicture } from '../vessel/cone.ts'
import { levelY, PICTURE } from '../vessel/geometry.ts'

const BUFFER_WORDS: Record<Buffer, string> = {
  'baking-soda': 'Baking soda',
  'magnesium-sulphate': 'Magnesium sulphate',
  none: 'None',
}
const WATER_WORDS: Record<WaterKind, string> = { unknown: 'Not known', soft: 'Soft', hard: 'Hard' }
/** A vessel is never drawn fuller than this, so that its surface shows. */
const BRIM = 0.96

/** What this page alone keeps; spoons and salt are the kitchen's, and are kept with it. */
type Kept = Pick<WishText, 'litres' | 'salinityGpl' | 'cystsGpl' | 'buffer' | 'waterKind'>
/** A vessel's next batch is another recipe. */
const draftOf = (vessel: Vessel | undefined): string =>
  vessel ? `recipe.${vessel.id}.${vessel.batch?.id ?? 'next'}` : 'recipe'

const number = (value: number): string => String(Number(value.toFixed(2)))

/** A litre of the usual, for no vessel at all. */
const USUAL = {
  litres: '1',
  salinityGpl: number(USUAL_SALINITY_GPL),
  cystsGpl: number(USUAL_CYSTS_GPL),
} as const

/** A vessel's open batch as it was set up, or a usual fill. */
const fillOf = ({ batch, litres }: Vessel): Pick<WishText, 'litres' | 'salinityGpl' | 'cystsGpl'> =>
  batch
    ? {
        litres: number(batch.litres),
        salinityGpl: number(batch.salinityGpl),
        cystsGpl: number(batch.cystsG / batch.litres),
      }
    : { ...USUAL, litres: number(litres) }

/** What goes into a vessel, as a picture, in grams and in spoons; for a vessel, its open batch, or none at all. */
export class RecipeView extends LitElement {
  static override properties = {
    vesselId: { attribute: false },
    chosen: { state: true },
    wish: { state: true },
    again: { state: true },
  }
  /** The vessel of the address; empty for none. */
  declare vesselId: string
  declare chosen: string
  declare wish: WishText
  /** The amounts stand as they were left here, not as they would be by themselves. */
  declare again: boolean
  readonly #vessels = new Watch(this, store => store.state.vessels)
  readonly #settings = new Watch(this, store => store.state.settings)
  readonly #fields = new Sending(this)

  constructor() {
    super()
    this.vesselId = ''
    this.chosen = ''
    this.again = false
    this.wish = {
      ...USUAL,
      saltSpoonG: keptText('saltSpoonG'),
      cystSpoonG: keptText('cystSpoonG'),
      sodaSpoonG: keptText('sodaSpoonG'),
      purity: keptText('purity'),
      moisture: keptText('moisture'),
      buffer: Buffer.bakingSoda,
      waterKind: WaterKind.unknown,
    }
  }

  static override styles = [shared, shelfStyle, recipeStyle]

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('vesselId')) this.#choose(this.vesselId)
    if (changed.has('wish')) this.#fields.fields = readWish(this.wish).wrong
  }

  override render() {
    const settings = this.#settings.value
    if (!settings) return nothing
    const vessel = this.#vessels.value.get(this.chosen) ?? null
    const { input } = readWish(this.wish)
    const made = input ? recipe(input) : null
    return html`<div class="page">
      <h1>${vessel ? `What goes into ${vessel.name}` : 'What goes in'}</h1>
      ${this.#scene(made, vessel)}
      <div class="inner wishing">${this.#wishes(vessel, made)}</div>
      ${
        made
          ? html`<section class="amounts">
                <h2 class="hidden">The amounts</h2>
                <p class="hidden" role="status">${inOneSentence(made)}</p>
                ${goesIn(made, settings.temperatureUnit)}
              </section>
              <div class="inner doing">
                <section>
                  <h2>In this order</h2>
                  ${made.buffer ? nothing : html`<p>${made.bufferWords}</p>`}
                  ${stepList(made, settings.temperatureUnit)}
                </section>
                ${this.#start(made, vessel)}
              </div>`
          : html`<p class="inner doing">Put the marked numbers right, and the amounts stand here.</p>`
      }
      <section class="inner measuring">
        <h2>Is it salty enough?</h2>
        <bw-hydrometer
          .litres=${made?.litres ?? 1}
          .wantedGpl=${made?.salinityGpl ?? USUAL_SALINITY_GPL}
          .unit=${settings.temperatureUnit}
        ></bw-hydrometer>
      </section>
      ${
        made
          ? html`<div class="inner minding">
              <section>
                <h2>Mind these</h2>
                <ul class="cautions-list">
                  ${made.cautions.map(({ words }) => html`<li>${words}</li>`)}
                </ul>
              </section>
              <section>
                <h2>What it does to the hatch</h2>
                <p class="soft">No further than somebody has measured it.</p>
                ${effectList(made.effects)}
              </section>
            </div>`
          : nothing
      }
    </div>`
  }

  #scene(made: Recipe | null, vessel: Vessel | null) {
    const holds = BRIM_OF_FILL * (vessel?.litres ?? made?.litres ?? 0)
    const filled = made ? Math.min(BRIM, Math.max(0.08, made.litres / holds)) : 0
    const picture: ConePicture = made
      ? { ...DRY, filled, colour: RIGHT, airLpmPerLitre: 0.5, airAssigned: true, lit: true }
      : DRY
    return html`<div class="scene">
      <div class="plank-back"></div>
      <div class="vessel">
        <bw-cone .picture=${picture}></bw-cone>
        ${made ? html`<p class="level" ${place(levelY(filled) / PICTURE.height)}>${litres(made.litres)}</p>` : nothing}
      </div>
      <div class="plank"></div>
      ${made ? atAGlance(made) : nothing}
    </div>`
  }

  #wishes(vessel: Vessel | null, made: Recipe | null) {
    const vessels = [...this.#vessels.value.values()]
    return html`<form
      class="wishes"
      novalidate
      @submit=${(event: Event) => event.preventDefault()}
      @change=${this.#select}
    >
      ${
        vessels.length > 0
          ? list('vessel', 'For which vessel?', this.#fields, this.chosen, [
              { value: '', text: 'None: just the amounts' },
              ...vessels.map(each => ({
                value: each.id,
                text: `${each.name}, holds ${number(each.litres)} L${each.batch ? ', in use' : ''}`,
              })),
            ])
          : nothing
      }
      ${
        this.again
          ? html`<div class="row" role="status">
              <span class="soft">As you left it here.</span>
              <button type="button" class="quiet" @click=${this.#afresh}>
                ${vessel?.batch ? 'As the batch was set up' : 'As usual'}
              </button>
            </div>`
          : vessel?.batch
            ? html`<p class="soft">As its open batch was set up.</p>`
            : nothing
      }
      ${this.#stepper('litres', 'Brine, litres', 'brine', vessel ? `The vessel takes ${number(vessel.litres)} L` : 'When it is ready, salt and all')}
      ${this.#stepper('salinityGpl', 'Salt, grams per litre', 'salt', '20 to 35 g/L hatch alike')}
      ${this.#stepper('cystsGpl', 'Cysts, grams per litre', 'cysts', USUAL_CYSTS_HINT)}
      ${made ? warningList(made) : nothing}
      <details>
        <summary>Your spoons, salt and buffer</summary>
        <p class="soft">Weigh ten level spoons and divide by ten. This screen keeps it.</p>
        <div class="pair">
          ${this.#own('saltSpoonG', 'Tablespoon of salt, g', 'Usual: 15 to 18')}
          ${this.#own('cystSpoonG', 'Teaspoon of cysts, g', 'Usual: about 3')}
          ${this.#own('sodaSpoonG', 'Teaspoon of soda, g', 'Usual: 4 to 6')}
          ${this.#own('purity', 'Salt in the salt, %', 'Dry: 100')}
          ${this.#own('moisture', 'Water in the salt, %', 'Coarse, damp salt has some')}
        </div>
        ${this.#radios('buffer', 'What keeps the pH up?', BUFFER_WORDS, this.wish.buffer)}
        ${this.#radios('waterKind', 'The tap’s water', WATER_WORDS, this.wish.waterKind)}
      </details>
    </form>`
  }

  #stepper(name: 'litres' | 'salinityGpl' | 'cystsGpl', label: string, what: string, hint: string) {
    const step = (direction: 1 | -1) => () => this.#type(name, stepped(this.wish[name], direction, name))
    const wrong = this.#fields.fields.get(name)
    return html`<div class="field">
      <label for="field-${name}">${label}</label>
      <div class="stepper">
        <button
          type="button"
          class="quiet"
          aria-label=${`${what === 'cysts' ? 'Fewer' : 'Less'} ${what}`}
          @click=${step(-1)}
        >
          −
        </button>
        <input
          id="field-${name}"
          name=${name}
          inputmode="decimal"
          autocomplete="off"
          .value=${this.wish[name]}
          aria-describedby="field-${name}-hint"
          aria-invalid=${wrong ? 'true' : 'false'}
          @input=${(event: InputEvent) => this.#type(name, (event.target as HTMLInputElement).value)}
        />
        <button type="button" class="quiet" aria-label="More ${what}" @click=${step(1)}>+</button>
      </div>
      <span class=${wrong ? 'wrong' : 'hint'} id="field-${name}-hint">${wrong ?? hint}</span>
    </div>`
  }

  #own(name: NumberField, label: string, hint: string) {
    return line(name, label, this.#fields, {
      value: this.wish[name],
      hint,
      numeric: true,
      onInput: text => this.#type(name, text),
    })
  }

  #radios(name: 'buffer' | 'waterKind', legend: string, words: Record<string, string>, chosen: string) {
    return html`<fieldset>
      <legend>${legend}</legend>
      ${Object.entries(words).map(
        ([value, text]) =>
          html`<label class="choice"
            ><input type="radio" name=${name} value=${value} .checked=${value === chosen} />${text}</label
          >`,
      )}
    </fieldset>`
  }

  #start(made: Recipe, vessel: Vessel | null) {
    if (!vessel || vessel.batch) return nothing
    if (made.litres > vessel.litres)
      return html`<p class="failed">${vessel.name} takes only ${number(vessel.litres)} L.</p>`
    const handoff = { litres: made.litres, cystsG: made.cysts.grams, salinityGpl: made.salinityGpl }
    return html`<a class="button start" href=${startPath(vessel.id, handoff)}
      >Start this batch in ${vessel.name}</a
    >`
  }

  #type(name: NumberField, text: string): void {
    this.wish = { ...this.wish, [name]: text }
    if (isKept(name)) keepText(name, text)
    else this.#keep()
  }

  readonly #select = ({ target }: Event): void => {
    if (target instanceof HTMLSelectElement) {
      this.#choose(target.value)
      const address = target.value === '' ? '/recipe' : `/recipe?vessel=${encodeURIComponent(target.value)}`
      history.replaceState(null, '', address)
    } else if (target instanceof HTMLInputElement && target.type === 'radio') {
      this.wish = { ...this.wish, [target.name]: target.value }
      this.#keep()
    }
  }

  #keep(): void {
    const { litres, salinityGpl, cystsGpl, buffer, waterKind } = this.wish
    const kept: Kept = { litres, salinityGpl, cystsGpl, buffer, waterKind }
    keepDraft(draftOf(this.#vessels.value.get(this.chosen)), kept, Date.now())
    this.again = true
  }

  readonly #afresh = (): void => {
    dropDraft(draftOf(this.#vessels.value.get(this.chosen)))
    this.#choose(this.chosen)
  }

  /** What was left here for it; else the vessel's open batch as it was set up, or a usual fill of the vessel. */
  #choose(vesselId: string): void {
    const vessel = this.#vessels.value.get(vesselId)
    this.chosen = vessel ? vesselId : ''
    const kept = readDraft<Kept>(draftOf(vessel), Date.now())
    this.again = kept !== null
    this.wish = { ...this.wish, ...(vessel ? fillOf(vessel) : USUAL), ...kept }
  }
}
customElements.define('bw-recipe', RecipeView)
