import type { JournalStep, Source } from './contract.ts'
import { CHATTER_MS, CHATTER_TIMES } from './marks.ts'
import { isOver } from './steps.ts'

/** What came and went at least {@link CHATTER_TIMES} times within {@link CHATTER_MS}, with how often it did at its worst. */
export function chatteringOf(steps: readonly JournalStep[]): (Source & { readonly times: number })[] {
  const bySource = new Map<
    string,
    { source: Source; holds: boolean; cameMs: number; spans: [number, number][] }
  >()
  for (const { rule, vesselId, state, atMs } of steps) {
    const key = `${rule} ${vesselId ?? ''}`
    const one = bySource.get(key) ?? { source: { rule, vesselId }, holds: false, cameMs: atMs, spans: [] }
    bySource.set(key, one)
    const holds = !isOver(state)
    if (holds && !one.holds) one.cameMs = atMs
    if (!holds && one.holds) one.spans.push([one.cameMs, atMs])
    one.holds = holds
  }
  return [...bySource.values()]
    .map(({ source, spans }) => ({ ...source, times: mostWithin(spans) }))
    .filter(({ times }) => times >= CHATTER_TIMES)
    .sort((a, b) => b.times - a.times)
}

/** The most comings and goings that begin and end within the time. */
function mostWithin(spans: readonly (readonly [number, number])[]): number {
  let most = 0
  for (let first = 0, last = 0; last < spans.length; last++) {
    const [, endMs] = spans[last] ?? [0, 0]
    while ((spans[first]?.[0] ?? Infinity) < endMs - CHATTER_MS) first++
    most = Math.max(most, last - first + 1)
  }
  return most
}
