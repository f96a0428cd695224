/** A ration to begin with, and where it was published. */
export interface Example {
  readonly id: string
  readonly words: string
  readonly naupliiPerFry: number
  readonly times: readonly string[]
}

/**
 * Published rations for larvae: 150 a day in two meals (angelfish, severum); 700 to 1,300 (a catfish), of which the middle is taken. For
 * anything else there is none here: count what is left over after a meal.
 */
export const EXAMPLES: readonly Example[] = [
  {
    id: 'cichlid',
    words: 'Angelfish and severum larvae: 150 a day in two meals (published)',
    naupliiPerFry: 150,
    times: ['08:00', '18:00'],
  },
  {
    id: 'catfish',
    words: 'A catfish’s larvae: 700 to 1,300 a day (published); 1,000 is taken',
    naupliiPerFry: 1000,
    times: ['08:00', '14:00', '20:00'],
  },
]
