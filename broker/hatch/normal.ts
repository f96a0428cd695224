/** How far from the middle the 10th and 90th percentile of a normal distribution lie, in standard deviations. */
export const Z90 = 1.2815515655446004

/**
 * Standard normal distribution function, to about 1e-15: the rational approximation of Hart 1968 in the form of West 2005,
 * "Better approximations to cumulative normal functions", Wilmott Magazine.
 */
export function normalShare(z: number): number {
  const x = Math.abs(z)
  if (Number.isNaN(x)) return NaN
  if (x > 37) return z > 0 ? 1 : 0
  const density = Math.exp((-x * x) / 2)
  let tail: number
  if (x < 7.07106781186547) {
    let over = 3.52624965998911e-2 * x + 0.700383064443688
    over = over * x + 6.37396220353165
    over = over * x + 33.912866078383
    over = over * x + 112.079291497871
    over = over * x + 221.213596169931
    over = over * x + 220.206867912376
    let under = 8.83883476483184e-2 * x + 1.75566716318264
    under = under * x + 16.064177579207
    under = under * x + 86.7807322029461
    under = under * x + 296.564248779674
    under = under * x + 637.333633378831
    under = under * x + 793.826512519948
    under = under * x + 440.413735824752
    tail = (density * over) / under
  } else {
    tail = density / (x + 1 / (x + 2 / (x + 3 / (x + 4 / (x + 0.65))))) / 2.506628274631
  }
  return z > 0 ? 1 - tail : tail
}

/** The z below which a share of a standard normal distribution lies: the inverse of {@link normalShare}, by halving. */
export function normalQuantile(share: number): number {
  if (!(share > 0 && share < 1)) return share === 0 ? -Infinity : share === 1 ? Infinity : NaN
  let low = -38
  let high = 38
  for (let step = 0; step < 60; step++) {
    const middle = (low + high) / 2
    if (normalShare(middle) < share) low = middle
    else high = middle
  }
  return (low + high) / 2
}
