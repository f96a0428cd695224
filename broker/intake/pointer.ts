/** JSON Pointers, RFC 6901, on documents that others made. */

/** So long a pointer may be, characters, and so deep and so many are looked for. Own choices. */
export const MOST_POINTER = 256
const MOST_LEVELS = 8
const MOST_NUMBERS = 64

/** Section 3: empty, or tokens that each begin with `/`; a `~` is followed by 0 or 1. */
export function isPointer(pointer: string): boolean {
  return pointer.length <= MOST_POINTER && /^(?:\/(?:[^~/]|~[01])*)*$/u.test(pointer)
}

/**
 * The value that a pointer stands for; `undefined` for none. Only members of the document itself count: an array has no `length`
 * here, and an index is written without leading zeros (section 4).
 */
export function valueAt(document: unknown, pointer: string): unknown {
  if (pointer === '') return document
  let at: unknown = document
  for (const token of pointer.split('/').slice(1)) {
    const name = token.replaceAll('~1', '/').replaceAll('~0', '~')
    if (typeof at !== 'object' || at === null) return undefined
    if (Array.isArray(at) && !/^(?:0|[1-9]\d*)$/.test(name)) return undefined
    if (!Object.hasOwn(at, name)) return undefined
    at = (at as Record<string, unknown>)[name]
  }
  return at
}

export interface NumberAt {
  readonly pointer: string
  readonly value: number
}

/** The numbers in a document, and texts that are numbers, in its order: what can be adopted of it. */
export function numbersIn(document: unknown): NumberAt[] {
  const found: NumberAt[] = []
  const walk = (at: unknown, pointer: string, levels: number): void => {
    if (found.length >= MOST_NUMBERS || levels > MOST_LEVELS || pointer.length > MOST_POINTER) return
    if (typeof at === 'object' && at !== null) {
      for (const [name, value] of Object.entries(at))
        walk(value, `${pointer}/${name.replaceAll('~', '~0').replaceAll('/', '~1')}`, levels + 1)
      return
    }
    const value = numberOf(at)
    if (value !== null) found.push({ pointer, value })
  }
  walk(document, '', 0)
  return found
}

/** The number that something is; `null` for none. A switch is 1 or 0. */
export function numberOf(value: unknown): number | null {
  if (typeof value === 'boolean') return value ? 1 : 0
  if (typeof value === 'string')
    return /^\s*[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?\s*$/i.test(value) ? finite(Number(value)) : null
  return typeof value === 'number' ? finite(value) : null
}

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null)
