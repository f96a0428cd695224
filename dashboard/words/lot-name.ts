/** A lot's name as it is compared: neither case nor spaces tell two lots apart. */
const plain = (name: string): string => name.replace(/\s+/gu, '').toLowerCase()

/** The known lot that a typed name means, when it is one but for case and spaces; `null` for a new one. */
export function knownLot(typed: string, known: readonly string[]): string | null {
  const wanted = plain(typed)
  if (wanted === '') return null
  const name = typed.trim()
  return known.includes(name) ? name : (known.find(each => plain(each) === wanted) ?? null)
}

/** The name that is kept for what was typed: a known lot's own, or else what was typed. Empty for none. */
export const lotToKeep = (typed: string, known: readonly string[]): string =>
  knownLot(typed, known) ?? typed.trim()

/** A lot within a sentence: `lot spring`; one whose name says so already by its name alone: `Lot B`. */
export const theLot = (name: string): string => (/^lot\b/iu.test(name.trim()) ? name.trim() : `lot ${name}`)
