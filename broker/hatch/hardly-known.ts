import type { Band } from './contract.ts'

/** So wide a band of a share is hardly more than a guess. Own choice. */
export const GUESS = 0.6

/** Whether what is out now is hardly more than a guess: somebody should look before anything is done. */
export const hardlyKnown = ({ p10, p90 }: Pick<Band, 'p10' | 'p90'>): boolean => p90 - p10 > GUESS
