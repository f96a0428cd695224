/** A count that nothing can be reckoned from. `field` names what is wrong with it, by its path in what was given. */
export class CountError extends RangeError {
  override readonly name = 'CountError'
  readonly field: string
  constructor(verb: string, field: string, rule: string, got: number | string) {
    super(`Cannot ${verb}: ${field} must be ${rule}, got ${got}`)
    this.field = field
  }
}

/** The value itself when it is a whole number from 0 to `most`. */
export function wholeNumber(verb: string, field: string, most: number, value: number): number {
  if (Number.isInteger(value) && value >= 0 && value <= most) return value
  throw new CountError(verb, field, `a whole number from 0 to ${most}`, value)
}

/** The value itself when it is more than 0 and not above `most`. */
export function moreThanNone(verb: string, field: string, most: number, value: number): number {
  if (value > 0 && value <= most && value < Infinity) return value
  throw new CountError(
    verb,
    field,
    most === Infinity ? 'more than 0' : `more than 0 and at most ${most}`,
    value,
  )
}

/** The value itself when it lies between two others, both allowed. */
export function between(verb: string, field: string, least: number, most: number, value: number): number {
  if (value >= least && value <= most) return value
  throw new CountError(verb, field, `from ${least} to ${most}`, value)
}
