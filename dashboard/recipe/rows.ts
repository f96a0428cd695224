import { html, nothing, type TemplateResult } from 'lit'
import type { Direction, Effect } from '../../broker/hatch/recipe/effects.ts'
import type { Amount, Recipe } from '../../broker/hatch/recipe/recipe.ts'
import { followed, gramsWord, measureText, spoonsText } from '../../broker/hatch/recipe/spoons.ts'
import { prioritySign } from '../vessel/marks.ts'
import { scaleGrams } from '../words/amounts.ts'
import { ownUnitFirst, temperatureText, type TemperatureUnit } from '../words/temperature.ts'
import { jugPicture, spoonPictures, type Filling } from './spoon-picture.ts'

/** What goes in, each on its plank: how it is called, what the scale shows, and the level spoons that come nearest. */
export function goesIn(made: Recipe, unit: TemperatureUnit): TemplateResult {
  const { salt, buffer, cysts } = made
  return html`<ul class="goes">
    <li>
      <div class="stand">
        <h3>Fresh water</h3>
        <p class="as">${temperatureText(made.waterC, unit)}</p>
        <p class="grams">${Number(made.waterL.toPrecision(3))}<small>L</small></p>
        ${jugPicture()}
      </div>
      <p class="more soft">Before the salt; then fill up to the ${litres(made.litres)} mark.</p>
    </li>
    ${salt.grams > 0 ? row('Salt', 'salt', salt, saltNote(made)) : nothing}
    ${buffer ? row('Baking soda', 'soda', buffer, made.bufferWords) : nothing}
    ${row('Dry cysts', 'cysts', cysts, `At most ${scaleGrams(cysts.mostGpl * made.litres)} g in this much water. They pack differently: weigh them if you can.`)}
  </ul>`
}

function row(name: string, filling: Filling, { grams, measure }: Amount, more: string): TemplateResult {
  return html`<li>
    <div class="stand">
      <h3>${name}</h3>
      <p class="as">${kept(followed(measure, grams, measureText))}</p>
      <p class="grams">${scaleGrams(grams)}<small>g</small></p>
      ${spoonPictures(measure, filling)}
    </div>
    <p class="more soft">${kept(more)}</p>
  </li>`
}

/** The same at a glance, beside the cone. */
export function atAGlance({ salt, buffer, cysts }: Recipe): TemplateResult {
  const part = (name: string, { grams }: Amount) =>
    html`<li><strong>${scaleGrams(grams)} g</strong> ${name}</li>`
  return html`<ul class="glance">
    ${salt.grams > 0 ? part('salt', salt) : nothing} ${buffer ? part('baking soda', buffer) : nothing}
    ${part('cysts', cysts)}
  </ul>`
}

/** Who counts further than this many spoons miscounts. */
const MANY_QUARTERS = 5 * 4

/** The spoon's own doubt as the salinity that it may come to, and the other way to measure a litre. */
function saltNote({
  litres: l,
  salinityGpl,
  salt: { bySpoonGpl, intoMeasuredWaterG, measure },
}: Recipe): string {
  const many = measure.quarters > MANY_QUARTERS ? ' So many spoons are better weighed.' : ''
  const other = `Into ${litres(l)} of water, measured before the salt: ${scaleGrams(intoMeasuredWaterG)} g.${many}`
  if (bySpoonGpl === null) return other
  const [low, high] = [gramsWord(bySpoonGpl.low), gramsWord(bySpoonGpl.high)]
  if (low === high && Number(low) === salinityGpl) return other
  return `By the spoon ${low === high ? low : `${low} to ${high}`} g/L. ${other}`
}

export const litres = (value: number): string => `${Number(value.toFixed(2))}\u00a0L`

/** A number and its unit stay on one line. */
const kept = (words: string): string =>
  words.replace(/([\d½¼¾]) (?=(g|L|h|°[CF]|%|tablespoons?|teaspoons?)\b)/g, '$1\u00a0')

export function warningList({ warnings }: Recipe): TemplateResult {
  return html`<div class="warnings ${warnings.length === 0 ? 'none' : ''}" role="status">
    ${warnings.map(({ words }) => html`<p class="warn">${prioritySign('high', 34)}<span>${kept(words)}</span></p>`)}
  </div>`
}

export function stepList({ steps }: Recipe, unit: TemperatureUnit): TemplateResult {
  return html`<ol class="steps">
    ${steps.map(({ words }) => html`<li><span>${kept(ownUnitFirst(words, unit))}</span></li>`)}
  </ol>`
}

const WAY: Readonly<Record<Direction, string>> = {
  none: '= no effect',
  fewer: '↓ fewer hatch',
  later: '→ later',
  paused: '∥ it stops',
  dead: '✕ none hatch',
  unknown: '? not known',
}

/** What each thing that may be off does, with where that is known from: what is so now in sight, the rest on asking. */
export function effectList(effects: readonly Effect[]): TemplateResult {
  const others = effects.filter(({ applies }) => !applies)
  return html`<ul class="effects">
      ${effects.filter(({ applies }) => applies).map(effectRow)}
    </ul>
    <details>
      <summary>What else can be off</summary>
      <ul class="effects">
        ${others.map(effectRow)}
      </ul>
    </details>`
}

const effectRow = ({ when, direction, from, to, words, source, applies }: Effect): TemplateResult =>
  html`<li class=${applies ? 'applies' : ''}>
    <p class="line">
      <strong>${kept(when)}</strong>
      <span class="way"
        >${WAY[direction]}${from !== null && to !== null ? `: ${percent(from)} → ${percent(to)}` : ''}</span
      >
    </p>
    <p>${applies ? html`<strong>Concerns this recipe.</strong> ` : nothing}${kept(words)}</p>
    ${source ? html`<p class="source">${source}</p>` : nothing}
  </li>`

const percent = (share: number): string => `${Math.round(share * 100)} %`

/** All of it at once, for whoever hears the page and changes a number. */
export function inOneSentence({ litres: l, salt, buffer, cysts }: Recipe): string {
  const part = (name: string, { grams, measure }: Amount) =>
    `${name} ${scaleGrams(grams)} g, ${spoonsText(measure)}`
  const parts = [
    ...(salt.grams > 0 ? [part('salt', salt)] : []),
    ...(buffer ? [part('baking soda', buffer)] : []),
    part('cysts', cysts),
  ]
  return `For ${litres(l)}: ${parts.join('; ')}.`
}
