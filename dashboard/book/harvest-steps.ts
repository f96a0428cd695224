/** The trade's steps of a harvest; common practice, no source. */
export const STEPS = [
  {
    id: 'share',
    words: 'Only to learn which share hatched: with the air still on, count a sample with all that is in it.',
  },
  { id: 'air-off', words: 'Air off. Its alarm keeps quiet for half an hour.' },
  { id: 'light-below', words: 'Light at the bottom only: they swim to it, the shells stay above.' },
  { id: 'settled', words: 'Wait 10 min until shells and nauplii have parted.' },
  { id: 'drawn-off', words: 'Draw off from below until the flow runs clear. Stop before the shells come.' },
  { id: 'count', words: 'Stir what was drawn off, and count samples of it.' },
  { id: 'taken', words: 'Rinse them. Feed now, put in the cold, or throw away.' },
] as const
export type StepId = (typeof STEPS)[number]['id']

/** Those without which it was no harvest, in a word or two. What is counted and where they went has its own questions. */
const NEEDED: Partial<Record<StepId, string>> = {
  'air-off': 'Air off',
  'light-below': 'Light below',
  settled: 'Settling',
  'drawn-off': 'Draw off',
}

/** What was not ticked before the end: `Settling and Draw off are not ticked. End all the same?`; empty where all was. */
export function notTicked(isDone: (step: StepId) => boolean): {
  readonly words: string
  readonly first: StepId | null
} {
  const open = STEPS.filter(({ id }) => NEEDED[id] !== undefined && !isDone(id))
  const names = open.map(({ id }) => NEEDED[id] ?? '')
  const last = names.pop()
  if (last === undefined) return { words: '', first: null }
  const listed = names.length === 0 ? `${last} is` : `${names.join(', ')} and ${last} are`
  return { words: `${listed} not ticked. End all the same?`, first: open[0]?.id ?? null }
}
