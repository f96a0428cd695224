const NAMED = 3

/** `a`, `a and b`, `a, b and c`, `a, b, c and 9 more`. */
export function listed(names: readonly string[]): string {
  const shown = names.slice(0, NAMED)
  const more = names.length - shown.length
  if (more > 0) return `${shown.join(', ')} and ${more} more`
  return names.length < 2 ? shown.join('') : `${shown.slice(0, -1).join(', ')} and ${shown.at(-1)}`
}
