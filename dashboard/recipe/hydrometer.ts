import { css, html, LitElement, nothing } from 'lit'
import {
  BASES,
  BASIS_NAMES,
  HYDROMETER_LIMITS,
  hydrometerReading,
  readHydrometer,
  seaGpkgOfPlainSalt,
  type Basis,
} from '../../broker/hatch/recipe/hydrometer.ts'
import { gplToGpkg } from '../../broker/hatch/recipe/salinity.ts'
import { saltToRaise, waterToLower } from '../../broker/hatch/recipe/salt.ts'
import { line, list, readNumber, Sending } from '../forms/form.ts'
import { shared } from '../style/shared.ts'
import { scaleGrams } from '../words/amounts.ts'
import { temperatureText, toC, toF, type TemperatureUnit } from '../words/temperature.ts'
import { hydrometerPicture } from './hydrometer-picture.ts'
import { keepBasis, keepSalt, keptBasis, keptSalt, type SaltKind } from './own-spoons.ts'
import { MOST_SALT_GPL } from '../../broker/hatch/recipe/most-salt.ts'

/** Brine that hatches alike, g/L: freshwater-prawn farming handbook, after FAO Fisheries Technical Paper 361. */
const ALIKE_GPL = { from: 20, to: 35 } as const
/** The difference that nobody can read, g/L: one division of a usual scale is more. */
const NEAR_GPL = 1
const SALT_WORDS: Record<SaltKind, string> = { sea: 'Sea salt', plain: 'Plain salt' }
/** Drawn until somebody types: nothing is claimed by it. */
const AT_REST = 1.02

/** From a hydrometer's reading to the salt in the water, with the doubt that its scale leaves. */
export class HydrometerHelper extends LitElement {
  static override properties = {
    litres: { attribute: false },
    wantedGpl: { attribute: false },
    unit: { attribute: false },
    reading: { state: true },
    temperature: { state: true },
    basis: { state: true },
    salt: { state: true },
  }
  /** The brine that it is read in, and what it should have. */
  declare litres: number
  declare wantedGpl: number
  declare unit: TemperatureUnit
  declare reading: string
  declare temperature: string
  /** What stands on the scale; empty while it is not known. */
  declare basis: string
  /** Plain salt makes lighter brine. */
  declare salt: SaltKind
  readonly #fields = new Sending(this)

  constructor() {
    super()
    this.litres = 1
    this.wantedGpl = 25
    this.unit = 'C'
    this.reading = ''
    this.temperature = ''
    this.basis = keptBasis()
    this.salt = keptSalt()
  }

  static override styles = [
    shared,
    css`
      :host {
        display: grid;
        gap: 18px;
      }
      .side {
        display: grid;
        grid-template-columns: 124px minmax(0, 1fr);
        gap: 16px;
        align-items: start;
      }
      .answer {
        font-size: 2.25rem;
        line-height: 1.1;
        font-weight: 800;
        letter-spacing: -0.02em;
      }
      .answer small {
        display: block;
        font-size: 1.0625rem;
        font-weight: 650;
        letter-spacing: 0;
      }
      .said-of-it {
        display: grid;
        gap: 10px;
        align-content: start;
      }
      .brine {
        fill: var(--brine);
        opacity: 0.3;
      }
      .surface {
        stroke: var(--brine);
        stroke-width: 3;
        fill: none;
      }
      .across {
        stroke-width: 1.4;
      }
      .paper {
        fill: #fbf8ef;
      }
      .mark {
        stroke: #17201e;
        stroke-width: 1.4;
        fill: none;
      }
      .figure {
        fill: #17201e;
        font-size: 11px;
        font-weight: 700;
        text-anchor: end;
      }
      .basis {
        fill: var(--ink);
        font-size: 12px;
        font-weight: 700;
        text-anchor: middle;
      }
      .stem,
      .bulb {
        fill: none;
        stroke: var(--glass);
        stroke-width: 2.4;
      }
      .wanted {
        fill: var(--nauplii);
        stroke: var(--ink);
        stroke-width: 1;
      }
      @media (min-width: 720px) {
        form {
          max-width: 34rem;
        }
      }
    `,
  ]

  override render() {
    const basis = BASIS_NAMES.find(name => name === this.basis) ?? null
    const waterC = this.#waterC()
    const reading = readNumber(this.reading)
    const fitting = reading !== null && within(reading, HYDROMETER_LIMITS.reading)
    const shown =
      basis && waterC !== null
        ? hydrometerReading(this.#seaGpkg(this.wantedGpl, waterC), basis, waterC)
        : null
    return html`<form novalidate @submit=${(event: Event) => event.preventDefault()}>
        <div class="pair">
          ${line('reading', 'It reads', this.#fields, {
            value: this.reading,
            numeric: true,
            hint:
              this.reading.trim() === '' || fitting
                ? 'At the water’s surface, like 1.018'
                : html`<span class="wrong">Write a number from 0.99 to 1.1, like 1.018.</span>`,
            onInput: text => {
              this.reading = text
            },
          })}
          ${line('temperature', `The water, °${this.unit}`, this.#fields, {
            value: this.temperature,
            numeric: true,
            hint: this.#temperatureHint(waterC),
            onInput: text => {
              this.temperature = text
            },
          })}
        </div>
        <div @change=${this.#choose}>
          ${list('basis', 'What stands on its paper scale?', this.#fields, this.basis, [
            { value: '', text: 'I cannot find it' },
            ...BASIS_NAMES.map(name => ({ value: name, text: BASES[name].text })),
          ])}
        </div>
        <div class="row" role="group" aria-label="What was the brine made of?">
          ${Object.entries(SALT_WORDS).map(
            ([kind, words]) =>
              html`<button
                type="button"
                class="quiet"
                aria-pressed=${kind === this.salt}
                @click=${() => this.#made(kind === 'plain' ? 'plain' : 'sea')}
              >
                ${words}
              </button>`,
          )}
        </div>
      </form>
      <div class="side">
        ${hydrometerPicture(fitting ? reading : AT_REST, shown, basis ? BASES[basis].text : '? / ?')}
        <div class="said-of-it" role="status">
          ${fitting && waterC !== null ? this.#answer(reading, basis, waterC) : html`<p class="soft">Type what it shows and how warm the water is.</p>`}
          ${
            shown !== null && waterC !== null
              ? html`<p>
                  Your ${tenth(this.wantedGpl)} g/L should show
                  <strong>${shown.toFixed(4)}</strong> at ${temperatureText(waterC, this.unit)}; the arrow is
                  there.
                </p>`
              : nothing
          }
        </div>
      </div>
      <p class="soft">
        The two temperatures on the paper say what it was made for: the sample’s, and that of the water it is
        compared with. For glass that floats; a swing-arm of plastic is another instrument. Brine of plain
        salt is lighter than that of sea salt, so the same reading means some 6 % more of it.
      </p>`
  }

  #answer(reading: number, basis: Basis | null, waterC: number) {
    const gpl = (each: Basis) => {
      const found = readHydrometer(reading, each, waterC)
      return this.salt === 'plain' ? found.plainSaltGpl : found.salinityGpl
    }
    const range = (names: readonly Basis[]) => {
      const all = names.map(gpl)
      return `${tenth(Math.min(...all))} to ${tenth(Math.max(...all))} g/L`
    }
    if (!basis)
      return html`<p class="answer">${range(BASIS_NAMES)}<small>depending on what it was made for</small></p>
        <p>Look for two temperatures on the paper in its stem: they take this doubt away.</p>`
    const found = readHydrometer(reading, basis, waterC)
    const gpkg = this.salt === 'plain' ? found.plainSaltGpkg : found.salinityGpkg
    return html`<p class="answer">
        ${tenth(gpl(basis))} g/L<small>${tenth(gpkg)} g/kg, of ${SALT_WORDS[this.salt].toLowerCase()}</small>
      </p>
      ${this.#mend(gpl(basis), waterC)}
      <p class="soft">With another scale it would be ${range(BASIS_NAMES.filter(name => name !== basis))}.</p>
      ${found.beyondEquation ? html`<p>So much salt is beyond what the equation of sea water was measured for: take it as a guess.</p>` : nothing}`
  }

  /** The sea water that brine of so much salt looks like to a hydrometer. */
  #seaGpkg(wantedGpl: number, waterC: number): number {
    return this.salt === 'plain' ? seaGpkgOfPlainSalt(wantedGpl, waterC) : gplToGpkg(wantedGpl, waterC)
  }

  #made(salt: SaltKind): void {
    this.salt = salt
    keepSalt(salt)
  }

  /** What brings the brine to what was wanted. */
  #mend(salinityGpl: number, waterC: number) {
    const off = salinityGpl - this.wantedGpl
    if (Math.abs(off) < NEAR_GPL) return html`<p><strong>As wanted.</strong></p>`
    const brine = { litres: this.litres, salinityGpl, waterC }
    if (salinityGpl > MOST_SALT_GPL) return nothing
    if (alike(salinityGpl))
      return html`<p>
        <strong>Good as it is.</strong> ${off < 0 ? 'Less' : 'More'} than was wanted, but ${ALIKE_GPL.from} to
        ${ALIKE_GPL.to} g/L hatch alike.
      </p>`
    return off < 0
      ? html`<p>
          <strong>Too little salt.</strong> Into ${Number(this.litres.toFixed(2))} L stir
          ${scaleGrams(saltToRaise(brine, this.wantedGpl))} g more.
        </p>`
      : html`<p>
          <strong>Too much salt.</strong>
          ${this.wantedGpl > 0 ? html`To ${Number(this.litres.toFixed(2))} L add ${Number(waterToLower(brine, this.wantedGpl).toFixed(2))} L of fresh water, if there is room.` : nothing}
        </p>`
  }

  #waterC(): number | null {
    const typed = readNumber(this.temperature)
    if (typed === null) return null
    const waterC = this.unit === 'C' ? typed : toC(typed)
    return within(waterC, HYDROMETER_LIMITS.temperatureC) ? waterC : null
  }

  #temperatureHint(waterC: number | null) {
    if (waterC !== null) return temperatureText(waterC, this.unit)
    const { from, to } = HYDROMETER_LIMITS.temperatureC
    const [low, high] = this.unit === 'C' ? [from, to] : [toF(from), toF(to)]
    return this.temperature.trim() === ''
      ? `Like ${this.unit === 'C' ? '25' : '77'}`
      : html`<span class="wrong">Write a number from ${low} to ${high}.</span>`
  }

  readonly #choose = (event: Event): void => {
    if (!(event.target instanceof HTMLSelectElement)) return
    this.basis = event.target.value
    keepBasis(this.basis)
  }
}
customElements.define('bw-hydrometer', HydrometerHelper)

const alike = (gpl: number): boolean => gpl >= ALIKE_GPL.from && gpl <= ALIKE_GPL.to
const within = (value: number, { from, to }: { readonly from: number; readonly to: number }): boolean =>
  value >= from && value <= to
const tenth = (value: number): string => String(Number(value.toFixed(1)))
