import { RowError } from './contract.ts'

/** What fields are called by whoever reads why a row was not taken. One without a word here is called by its heading. */
const WORDS: Readonly<Record<string, string>> = {
  json: 'what was written',
  details: 'what was written',
  at: 'time',
  atMs: 'time',
  recordedAt: 'time of writing down',
  recordedAtMs: 'time of writing down',
  createdAt: 'time of writing down',
  createdAtMs: 'time of writing down',
  startedAtMs: 'start',
  endedAtMs: 'end',
  retiredAtMs: 'end',
  putAwayAt: 'end',
  withdrawnAt: 'being taken back or not',
  withdrawnAtMs: 'being taken back or not',
  cystsG: 'grams of cysts',
  salinityGpl: 'salt',
  bornMs: 'day of birth',
  endsMs: 'last day',
  fry: 'number of fry',
  times: 'times of feeding',
  vesselId: 'vessel',
  batchId: 'batch',
  subject: 'group of fry',
  dueAtMs: 'time it was due',
}

/** The same value in one writing: members in one order, and none that says nothing. */
export function canonical(value: unknown): string {
  return JSON.stringify(value, (_, part: unknown) =>
    part !== null && typeof part === 'object' && !Array.isArray(part)
      ? Object.fromEntries(
          Object.entries(part)
            .filter(([, said]) => said !== null && said !== undefined)
            .sort(([a], [b]) => (a < b ? -1 : 1)),
        )
      : part,
  )
}

/**
 * Whether what is here says the same. How it is kept is no difference: the order of members, and a member that is left out or says nothing.
 * What differs is never written over: throws a {@link RowError} that names it.
 */
export function sameSaid<T extends object>(known: T, wanted: T, what: string): true {
  const fields = Object.keys(wanted) as (keyof T & string)[]
  const differs = fields.find(field => canonical(known[field] ?? null) !== canonical(wanted[field] ?? null))
  if (differs === undefined) return true
  throw new RowError(
    `Cannot take the ${what}: it is here already, and its ${WORDS[differs] ?? differs} differs here; what is here stays`,
  )
}
