const QUOTE = 0x22
const BACKSLASH = 0x5c
const MINUS = 0x2d
const POINT = 0x2e
const ZERO = 0x30

/** Texts remembered of each kind. Two that share a place take turns. */
const REMEMBERED = 1024
/** Longer texts are not remembered. */
const LONGEST = 128
/** So many digits make a whole number that a double holds exactly. */
const DIGITS = 15
const POWERS_OF_TEN = Array.from({ length: DIGITS + 1 }, (_, exponent) => Number(`1e${exponent}`))

/** Texts of one kind that were met before: what every pack says again is neither made nor checked again. */
export class KnownTexts {
  readonly #isGood: (text: string) => boolean
  readonly #texts = new Array<string>(REMEMBERED).fill('')

  constructor(isGood: (text: string) => boolean) {
    this.#isGood = isGood
  }

  /** The text of these ASCII bytes, or `null` when it is not good. */
  find(bytes: Uint8Array, from: number, to: number, hash: number): string | null {
    const place = (hash ^ (hash >>> 10)) & (REMEMBERED - 1)
    const known = this.#texts[place]!
    if (known.length === to - from && known !== '' && isAt(bytes, from, known)) return known
    const text = asKey(String.fromCharCode(...bytes.subarray(from, to)))
    if (!this.#isGood(text)) return null
    if (text.length <= LONGEST) this.#texts[place] = text
    return text
  }
}

/**
 * The same text as the engine keeps it for names of members: two of these are told apart by where they lie, not letter by letter,
 * and what a pack says is looked up a dozen times.
 */
const asKey = (text: string): string => Object.keys({ [text]: true })[0]!

/** Reads plain pieces of JSON straight from the bytes; says `null` or false to whatever is not plain. */
export class UsualJson {
  #bytes: Uint8Array = new Uint8Array()
  #at = 0

  start(bytes: Uint8Array): void {
    this.#bytes = bytes
    this.#at = 0
  }

  get atEnd(): boolean {
    return this.#at === this.#bytes.length
  }

  /** Passes over exactly this ASCII text, if it is what comes next. */
  skip(expected: string): boolean {
    const bytes = this.#bytes
    const at = this.#at
    for (let i = 0; i < expected.length; i++) if (bytes[at + i] !== expected.charCodeAt(i)) return false
    this.#at = at + expected.length
    return true
  }

  /** The rest of a text whose first quotation mark was passed: printable ASCII without an escape, and good for its kind. */
  text(known: KnownTexts): string | null {
    const bytes = this.#bytes
    const from = this.#at
    let at = from
    let hash = 0
    for (; ; at++) {
      const byte = bytes[at]
      if (byte === QUOTE) break
      if (byte === undefined || byte < 0x20 || byte > 0x7e || byte === BACKSLASH) return null
      hash = (hash * 31 + byte) | 0
    }
    this.#at = at + 1
    return known.find(bytes, from, at, hash)
  }

  /** A number without an exponent and of few digits. */
  number(): number | null {
    const bytes = this.#bytes
    let at = this.#at
    const negative = bytes[at] === MINUS
    if (negative) at++
    let digits = 0
    const whole = at
    let mantissa = 0
    for (let digit; (digit = digitAt(bytes, at)) >= 0; at++, digits++) mantissa = mantissa * 10 + digit
    // JSON allows no needless zero in front, and no empty part.
    if (digits === 0 || (digits > 1 && bytes[whole] === ZERO)) return null
    let decimals = 0
    if (bytes[at] === POINT) {
      at++
      for (let digit; (digit = digitAt(bytes, at)) >= 0; at++, decimals++) mantissa = mantissa * 10 + digit
      if (decimals === 0) return null
    }
    if (digits + decimals > DIGITS || bytes[at] === 0x65 || bytes[at] === 0x45) return null
    this.#at = at
    // Both are exact in a double, so their quotient is the double nearest to what was written (IEEE 754 division).
    const value = mantissa / POWERS_OF_TEN[decimals]!
    return negative && value !== 0 ? -value : value
  }
}

function digitAt(bytes: Uint8Array, at: number): number {
  const digit = bytes[at]! - ZERO
  return digit <= 9 ? digit : -1
}

function isAt(bytes: Uint8Array, from: number, text: string): boolean {
  for (let i = 0; i < text.length; i++) if (bytes[from + i] !== text.charCodeAt(i)) return false
  return true
}
