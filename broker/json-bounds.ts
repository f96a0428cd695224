/** What a JSON text may be made of, told before it is parsed: a small one packs more objects than this machine has memory for. */
export interface JsonBounds {
  /** Lists and objects within each other. */
  readonly depth: number
  /** Lists and objects together. */
  readonly containers: number
  /** Fields of all objects together. */
  readonly keys: number
  /** Different names among them: each new one costs more than all else that is in a field. */
  readonly names: number
  /** Commas, of which there is one for each value but the first of its list or object. */
  readonly values: number
}

const QUOTE = 0x22
const BACKSLASH = 0x5c
const COMMA = 0x2c
const COLON = 0x3a
const OPEN_LIST = 0x5b
const CLOSE_LIST = 0x5d
const OPEN_OBJECT = 0x7b
const CLOSE_OBJECT = 0x7d

/**
 * In which way a JSON text in UTF-8 is beyond bounds, as in "nested deeper than 32"; `null` when it is not, which does not say that it
 * is JSON. One pass, in which nothing is kept but {@link JsonBounds.names} numbers: 60 MB of brackets took 24 s and 2 GB to parse, and two
 * million fields of different names 10 s of a core.
 */
export function beyondBounds(json: Uint8Array, bounds: JsonBounds): string | null {
  let depth = 0
  let containers = 0
  let keys = 0
  let values = 0
  let begin = 0
  let end = 0
  const names = new Set<number>()
  for (let at = 0; at < json.length; at++) {
    switch (json[at]) {
      case QUOTE:
        begin = at
        at = end = endOfString(json, at)
        break
      case OPEN_LIST:
      case OPEN_OBJECT:
        depth++
        containers++
        if (depth > bounds.depth) return `nested deeper than ${bounds.depth}`
        if (containers > bounds.containers) return `made of more than ${bounds.containers} lists and objects`
        break
      case CLOSE_LIST:
      case CLOSE_OBJECT:
        depth--
        break
      case COLON:
        if (++keys > bounds.keys) return `made of more than ${bounds.keys} fields`
        if (names.add(digest(json, begin, end)).size > bounds.names)
          return `made of fields of more than ${bounds.names} names`
        break
      case COMMA:
        if (++values > bounds.values) return `made of more than ${bounds.values} values`
        break
    }
  }
  return null
}

/** Of a name, to tell names apart: FNV-1a of Fowler, Noll and Vo, 32 bits, its two constants from memory. Two that are alike by it are counted as one, which does no harm. */
function digest(json: Uint8Array, begin: number, end: number): number {
  let hash = 0x811c9dc5
  for (let at = begin + 1; at < end; at++) hash = Math.imul(hash ^ (json[at] ?? 0), 0x01000193)
  return hash
}

/** Where the string that begins here ends; the end of the text when it does not. */
function endOfString(json: Uint8Array, begin: number): number {
  for (let at = begin + 1; ;) {
    const quote = json.indexOf(QUOTE, at)
    if (quote === -1) return json.length
    let escapes = 0
    while (json[quote - 1 - escapes] === BACKSLASH && quote - 1 - escapes > begin) escapes++
    if (escapes % 2 === 0) return quote
    at = quote + 1
  }
}
