import { html, nothing, type TemplateResult } from 'lit'
import type { Recipe } from '../../broker/hatch/recipe/recipe.ts'
import type { Caution, Step } from '../../broker/hatch/recipe/steps.ts'
import type { Walk } from '../../broker/web/api/books.ts'
import { zone } from '../state/zone.ts'
import { ownUnitFirst, type TemperatureUnit } from '../words/temperature.ts'
import { moment } from '../words/time.ts'
import { changedSince } from './ticked-as.ts'
import { doneAt } from './walk.ts'

/** Where each caution belongs. */
const CAUTION_AT: Readonly<Partial<Record<Step['id'], Caution['id']>>> = {
  air: 'air-first',
  warm: 'lamp',
  cysts: 'dust',
}

interface Shown {
  /** The water as it is measured now, in words; empty where nothing measures it. */
  readonly water: string
  readonly unit: TemperatureUnit
  readonly nowMs: number
  readonly tick: (step: Step, box: HTMLInputElement) => void
  /** What is wrong with the tick of a step. */
  readonly failed: (step: string) => TemplateResult | typeof nothing
}

/** What goes in and in which order, with the cautions where they belong. */
export function setUpSteps(walk: Walk, made: Recipe | null, shown: Shown): TemplateResult {
  if (made === null) return html`<p class="soft">Write the amounts, and the steps follow.</p>`
  const steps = made.steps.filter(({ id }) => id !== 'ring')
  const next = steps.find(({ id }) => doneAt(walk, id) === null)
  return html`${made.warnings.map(({ words }) => html`<p class="caution">${ownUnitFirst(words, shown.unit)}</p>`)}
    <p class="caution">${made.cautions.find(({ id }) => id === 'mains')?.words}</p>
    <ol class="walk" aria-label="Steps">
      ${steps.map(step => oneStep(walk, step, step === next, made.cautions, shown))}
    </ol>`
}

function oneStep(
  walk: Walk,
  step: Step,
  isNext: boolean,
  cautions: readonly Caution[],
  { unit, nowMs, water, tick, failed }: Shown,
) {
  const { id, words } = step
  const before = changedSince(walk, step)
  const at = doneAt(walk, id)
  const caution = cautions.find(each => each.id === CAUTION_AT[id])
  return html`<li class=${at ? 'done' : isNext ? 'next' : ''}>
    <label class="step">
      <input
        type="checkbox"
        .checked=${at !== null}
        @change=${(event: Event) => tick(step, event.target as HTMLInputElement)}
      />
      <span class="what"
        >${ownUnitFirst(words, unit)}
        ${at ? html`<span class="when">done ${moment(Date.parse(at), nowMs, zone)}</span>` : nothing}</span
      >
    </label>
    ${id === 'warm' && water !== '' && at === null ? html`<p class="within" role="status"><strong>${water}</strong></p>` : nothing}
    ${before === null ? nothing : html`<p class="caution" role="status">It was ticked when it read “${ownUnitFirst(before, unit)}” The amounts have changed since: make up the difference, or start it afresh.</p>`}
    ${failed(id)} ${caution && at === null ? html`<p class="caution">${caution.words}</p>` : nothing}
  </li>`
}
