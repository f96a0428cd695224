import type { Plan } from '../../broker/web/api/plan.ts'
import { hasDraft } from '../state/draft.ts'
import { cohortDraft } from './cohort-form.ts'
import { feedDraft } from './feed-form.ts'

/** A feeding that was being ticked off when the page closed. */
export const halfTicked = ({ open, meals }: Plan): string | null =>
  [...open, ...meals].find(({ id }) => hasDraft(feedDraft(id)))?.id ?? null

/** The group of fry whose form was half filled in then. */
export const halfTyped = ({ cohorts }: Plan): string | null =>
  ['new', ...cohorts.map(({ id }) => id)].find(id => hasDraft(cohortDraft(id))) ?? null
