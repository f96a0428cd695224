/** Natural logarithm of the odds of a share between 0 and 1. */
export function lnOdds(share: number): number {
  return Math.log(share / (1 - share))
}

/** The share that has these ln odds. */
export function shareOfOdds(lnOddsOfIt: number): number {
  return 1 / (1 + Math.exp(-lnOddsOfIt))
}
