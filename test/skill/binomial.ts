import jstat from 'jstat'

const { beta } = jstat.jStat

/** Exact limits of a share (Clopper & Pearson 1934, Biometrika 26:404), by jstat's beta distribution. */
export function binomialLimits(hits: number, of: number, outside = 0.05): readonly [number, number] {
  const low = hits === 0 ? 0 : beta.inv(outside / 2, hits, of - hits + 1)
  const high = hits === of ? 1 : beta.inv(1 - outside / 2, hits + 1, of - hits)
  return [low, high]
}
