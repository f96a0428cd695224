import { readNumber } from '../forms/form.ts'
import { vesselPath } from '../state/route.ts'

/** What a recipe hands to the form that starts a batch. */
export interface Handoff {
  readonly litres: number
  readonly cystsG: number
  readonly salinityGpl: number
}
const FIELDS = ['litres', 'cystsG', 'salinityGpl'] as const

const tidy = (value: number): string => String(Number(value.toFixed(2)))

/** The address of a vessel's page with its start form filled in. */
export function startPath(vesselId: string, handoff: Handoff): string {
  const query = new URLSearchParams(FIELDS.map(field => [field, tidy(handoff[field])]))
  return `${vesselPath(vesselId)}?${query}`
}

/** What an address hands over; `null` unless all of it is there. */
export function readHandoff(search: string): Handoff | null {
  const query = new URLSearchParams(search)
  const [litres = null, cystsG = null, salinityGpl = null] = FIELDS.map(field =>
    readNumber(query.get(field) ?? ''),
  )
  return litres === null || cystsG === null || salinityGpl === null ? null : { litres, cystsG, salinityGpl }
}
