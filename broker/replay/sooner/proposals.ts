import type { RuleName } from '../../rules/alarm.ts'
import type { RuleSettings, RulesSettings } from '../../rules/contract.ts'
import { Knob, type Proposal } from './contract.ts'

const MINUTE_MS = 60_000
const SECOND_MS = 1000

/**
 * The stops of each rule's settings towards calling sooner, from the mildest on, in the rule's own unit. Own choices: steps that a
 * person would turn a knob by, up to where a fish room that is well would be called for.
 *
 * - water-too-hot goes down to 28 °C: the trade works at up to 27.8 °C (common practice, no source).
 * - water-too-cool goes up to 25.5 °C: from 25 °C on it is slower, not wrong (FAO Fisheries Technical Paper 361).
 * - air-lost goes up to half of what cones are usually given.
 */
const STOPS: Readonly<Partial<Record<RuleName, Ladder>>> = {
  'water-heading-hot': { limit: [45, 60, 90, 120] },
  'water-too-hot': { limit: [29, 28.7, 28.4, 28], onDelayMs: [MINUTE_MS, 0] },
  'water-too-cool': {
    limit: [24.5, 25, 25.5],
    onDelayMs: [10 * MINUTE_MS, 5 * MINUTE_MS],
    leastCostMs: [45 * MINUTE_MS, 30 * MINUTE_MS, 15 * MINUTE_MS],
  },
  'air-lost': { limit: [0.08, 0.12, 0.2, 0.3], onDelayMs: [10 * SECOND_MS, 5 * SECOND_MS, 0] },
  'air-fading': { limit: [85, 90, 95], onDelayMs: [30 * SECOND_MS, 0] },
  'light-out': { limit: [400, 800], onDelayMs: [2 * MINUTE_MS, MINUTE_MS] },
  'water-level': { limit: [85, 90, 95], onDelayMs: [30 * SECOND_MS] },
  'probe-fault': { onDelayMs: [MINUTE_MS, 30 * SECOND_MS] },
  'probe-out-of-water': { onDelayMs: [30 * SECOND_MS, 0] },
  'device-silent': { limit: [120, 90, 60] },
  'harvest-missed': { limit: [20, 10, 0] },
  'power-lost': { limit: [70, 45] },
}

interface Ladder {
  readonly limit?: readonly number[]
  readonly onDelayMs?: readonly number[]
  readonly leastCostMs?: readonly number[]
}

/** What can be turned so that these rules call sooner than they are set to, each rule's mildest first. */
export function proposalsFor(rules: readonly RuleName[], settings: RulesSettings): Proposal[] {
  return rules.flatMap(rule => {
    const now = settings[rule]
    const on = { ...now, enabled: true }
    const at = (knob: Knob, change: Partial<RuleSettings>): Proposal => ({
      rule,
      knob,
      setting: { ...on, ...change },
    })
    const { limit = [], onDelayMs = [], leastCostMs = [] } = STOPS[rule] ?? {}
    // The stops of a limit run towards calling sooner: up for some rules, down for others.
    const up = (limit.at(-1) ?? 0) > (limit[0] ?? 0)
    const sooner = (stop: number) => (up ? stop > now.limit : stop < now.limit)
    return [
      ...(now.enabled ? [] : [at(Knob.enabled, {})]),
      ...limit.filter(sooner).map(stop => at(Knob.limit, { limit: stop })),
      ...onDelayMs.filter(ms => ms < now.onDelayMs).map(ms => at(Knob.onDelay, { onDelayMs: ms })),
      ...leastCostMs
        .filter(ms => ms < (now.leastCostMs ?? 0))
        .map(ms => at(Knob.leastCost, { leastCostMs: ms })),
    ]
  })
}
