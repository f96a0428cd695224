/** A recipe was asked for with a number that it cannot be made with. `field` names the number, `limits` what would do. */
export class RecipeError extends RangeError {
  override readonly name = 'RecipeError'
  readonly field: string
  readonly limits: Limits
  constructor(verb: string, field: string, limits: Limits, got: number) {
    super(`Cannot ${verb}: ${field} must be ${limitsText(limits)}, got ${got}`)
    this.field = field
    this.limits = limits
  }
}

/** What a number may be. `above` is not allowed itself, `from` and `to` are. */
export interface Limits {
  readonly above?: number
  readonly from?: number
  readonly to: number
}

/** The number itself when it lies within its limits; throws a {@link RecipeError} otherwise, and for what is no number. */
export function within(verb: string, field: string, limits: Limits, value: number): number {
  const low = limits.above === undefined ? value >= (limits.from ?? -Infinity) : value > limits.above
  if (low && value <= limits.to) return value
  throw new RecipeError(verb, field, limits, value)
}

/** `more than 0 and at most 100`, `from 0 to 45`. */
export function limitsText({ above, from, to }: Limits): string {
  if (above !== undefined) return `more than ${above} and at most ${to}`
  return from === undefined ? `at most ${to}` : `from ${from} to ${to}`
}
