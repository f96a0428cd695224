/** A seeded source of chance. The same seed gives the same numbers on every machine. */
export interface Random {
  /** Even between 0 (included) and 1 (excluded). */
  readonly uniform: () => number
  /** Normal with mean 0 and standard deviation 1. */
  readonly normal: () => number
  /** Exponential with mean 1. */
  readonly exponential: () => number
  /** A source of its own for one part of the world, so that a change in one part leaves the others' chance alone. */
  readonly fork: (label: string) => Random
}

/** FNV-1a, 32 bit: turns a label into a number to mix into the seed. */
function hashOf(label: string): number {
  let hash = 0x811c9dc5
  for (let i = 0; i < label.length; i++) hash = Math.imul(hash ^ label.charCodeAt(i), 0x01000193)
  return hash >>> 0
}

/**
 * A counter stepped by the golden ratio and passed through a 32-bit mixer. Its period of 2^32 is ample for a vessel of
 * some days; it is no source of secrets.
 */
export function seededRandom(seed: number): Random {
  if (!Number.isFinite(seed)) throw new RangeError(`Cannot seed chance: give a finite number, got ${seed}`)
  const start = (Math.trunc(seed) ^ Math.imul(Math.trunc(seed / 2 ** 32), 0x9e3779b1)) >>> 0
  let counter = start
  let spare: number | null = null

  const uniform = () => {
    counter = (counter + 0x6d2b79f5) | 0
    let mixed = Math.imul(counter ^ (counter >>> 15), counter | 1)
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61)
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32
  }
  // Box and Muller 1958: two uniform numbers make two normal ones.
  const normal = () => {
    if (spare !== null) {
      const kept = spare
      spare = null
      return kept
    }
    const radius = Math.sqrt(-2 * Math.log(1 - uniform()))
    const angle = 2 * Math.PI * uniform()
    spare = radius * Math.sin(angle)
    return radius * Math.cos(angle)
  }
  return {
    uniform,
    normal,
    exponential: () => -Math.log(1 - uniform()),
    fork: label => seededRandom(Math.imul(start ^ hashOf(label), 0x85ebca6b) >>> 0),
  }
}
