import { readNumber } from '../forms/form.ts'
import { vesselPath } from '../state/route.ts'
import { type Goal, GOALS } from '../words/goal.ts'

/** What a recipe hands to the form that starts a batch. */
export interface Handoff {
  readonly litres: number
  readonly cystsG: number
  readonly salinityGpl: number
  readonly goal?: Goal
}
const FIELDS = ['litres', 'cystsG', 'salinityGpl'] as const

const tidy = (value: number): string => String(Number(value.toFixed(2)))

/** The address of a vessel's page with its start form filled in. */
export function startPath(vesselId: string, handoff: Handoff): string {
  const query = new URLSearchParams(FIELDS.map(field => [field, tidy(handoff[field])]))
  if (handoff.goal !== undefined) query.set('goal', handoff.goal)
  return `${vesselPath(vesselId)}?${query}`
}

/** What an address hands over; `null` unless all of it is there. */
export function readHandoff(search: string): Handoff | null {
  const query = new URLSearchParams(search)
  const [litres = null, cystsG = null, salinityGpl = null] = FIELDS.map(field =>
    readNumber(query.get(field) ?? ''),
  )
  if (litres === null || cystsG === null || salinityGpl === null) return null
  const goal = GOALS.find(each => each === query.get('goal'))
  return { litres, cystsG, salinityGpl, ...(goal ? { goal } : {}) }
}
