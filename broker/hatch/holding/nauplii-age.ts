/** How old nauplii are that were hours in the cold: one age, the same wherever it is told. Pure. */
export interface NaupliiAge {
  /** Since they hatched, h: warm and cold together. */
  readonly ageH: number
  /** Of which in the cold, h. */
  readonly coldH: number
}

/**
 * Hours warm count as at hatching temperature. In the cold they hardly grow, because below 12 °C development stands still (linear thermal
 * thresholds of 9 to 12 °C: Jia et al. 2009), but they live on their yolk: so both are told, and an age limit goes by the warm hours.
 */
export function naupliiAge(warmH: number, coldH: number): NaupliiAge {
  return { ageH: warmH + Math.max(0, coldH), coldH: Math.max(0, coldH) }
}

/** `14 h old, 9 h of them in the cold`; `5 h old` where none of it was. */
export function ageWords({ ageH, coldH }: NaupliiAge): string {
  const cold = Math.round(coldH)
  // Rounded apart, so that what is told adds up with what is told of the same nauplii at another hour.
  const all = Math.round(ageH - coldH) + cold
  return cold < 1 ? `${all} h old` : `${all} h old, ${cold} h of them in the cold`
}
