import { html, nothing, type TemplateResult } from 'lit'
import type { Cohort, Plan } from '../../broker/web/api/plan.ts'
import { problem, type Sending } from '../forms/form.ts'
import { timeOfDay, type Zone } from '../words/time.ts'
import './cohort-form.ts'
import { dueWords } from './words.ts'

const DAY_MS = 86_400_000

/** What the list of the fry shows beside them, and what it does. */
export interface FryList {
  readonly nowMs: number
  readonly zone: Zone
  /** The group whose form is open; `new` for one that is not there yet. */
  readonly open: string | null
  readonly dropping: Sending
  readonly openUp: (which: string) => void
  readonly drop: (cohort: Cohort) => void
  readonly kept: () => void
  readonly closed: () => void
}

/** The groups of fry that are planned for. */
export function fry({ cohorts }: Plan, list: FryList): TemplateResult {
  return html`<section>
    <h2>Fry</h2>
    ${problem(list.dropping)}
    ${
      cohorts.length > 0
        ? html`<ul class="fry">
            ${cohorts.map(cohort => group(cohort, list))}
          </ul>`
        : nothing
    }
    ${
      list.open === 'new' || cohorts.length === 0
        ? html`<bw-cohort-form .zone=${list.zone} @kept=${list.kept} @closed=${list.closed}></bw-cohort-form>`
        : html`<div class="row">
            <button class="quiet" @click=${() => list.openUp('new')}>Add fry</button>
          </div>`
    }
  </section>`
}

function group(cohort: Cohort, { nowMs, zone, open, openUp, drop, kept, closed }: FryList) {
  const age = Math.max(0, Math.floor((nowMs - Date.parse(cohort.born)) / DAY_MS))
  const now = cohort.ration.findLast(({ fromDay }) => fromDay <= age)
  const food =
    cohort.food.kind === 'instar-1'
      ? 'only the smallest nauplii'
      : `nauplii up to ${cohort.food.hours} h old, hours in the cold not counted`
  return html`<li>
    <h3>${cohort.name}</h3>
    <p>
      ${cohort.fry.toLocaleString('en-US')} ${cohort.species || 'fry'}, ${age} days old:
      ${dueWords(cohort.fry * (now?.naupliiPerFry ?? 0))} nauplii a day, ${food}, at
      ${cohort.times.map(time => timeOfDay(time, zone)).join(' and ')}.
    </p>
    ${
      open === cohort.id
        ? html`<bw-cohort-form
            .cohort=${cohort}
            .zone=${zone}
            @kept=${kept}
            @closed=${closed}
          ></bw-cohort-form>`
        : html`<div class="row">
            <button class="quiet" @click=${() => openUp(cohort.id)}>
              Change<span class="hidden"> ${cohort.name}</span>
            </button>
            <button class="quiet" @click=${() => drop(cohort)}>
              Feed no more<span class="hidden">: ${cohort.name}</span>
            </button>
          </div>`
    }
  </li>`
}
