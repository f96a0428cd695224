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
