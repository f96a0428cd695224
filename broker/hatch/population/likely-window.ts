import type { HarvestWindow } from './harvest-window.ts'

/**
 * One window for a lot that may be any of several, each with the same likelihood: it holds where at least half as many of
 * them have their window as where most have it. Of a lot that is known it is that lot's own window, and a little doubt leaves
 * it as it is; the less is known of a lot, the wider it gets. The half is an own choice.
 */
export function likelyWindow(
  windows: readonly HarvestWindow[],
): Pick<HarvestWindow, 'fromDegH' | 'untilDegH'> {
  const begins = Float64Array.from(windows, window => window.fromDegH).sort()
  const ends = Float64Array.from(windows, window => window.untilDegH).sort()
  const open = (degH: number) => shareUpTo(begins, degH) - shareUpTo(ends, degH)
  let most = 0
  let top = begins[0] ?? 0
  for (const degH of [...begins, ...ends].sort((a, b) => a - b)) {
    if (open(degH) > most) {
      most = open(degH)
      top = degH
    }
  }
  return {
    fromDegH: crossing(open, most / 2, (begins[0] ?? 0) - 1, top),
    untilDegH: crossing(open, most / 2, (ends.at(-1) ?? 0) + 1, top),
  }
}

/** Share of equally likely values, in rising order, that are not above one; between them in a straight line. */
function shareUpTo(sorted: Float64Array, value: number): number {
  let low = 0
  let high = sorted.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if ((sorted[middle] ?? Infinity) <= value) low = middle + 1
    else high = middle
  }
  if (low === 0 || low === sorted.length) return low / sorted.length
  const below = sorted[low - 1] ?? value
  const above = sorted[low] ?? value
  return (low - 0.5 + (value - below) / (above - below)) / sorted.length
}

/** Where a share falls below a level on the way from a point where it is above to one where it is not. */
function crossing(share: (degH: number) => number, level: number, outside: number, inside: number): number {
  while (Math.abs(outside - inside) > 0.01) {
    const middle = (outside + inside) / 2
    if (share(middle) < level) outside = middle
    else inside = middle
  }
  return inside
}
