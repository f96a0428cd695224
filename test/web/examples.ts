import type { BatchForecastView, DeviceView, LotView } from '../../broker/room/views.ts'
import { PLAIN, type Alarm } from '../../broker/rules/alarm.ts'

/** The moment that all of these are seen from. */
export const NOW_MS = Date.UTC(2026, 10, 25, 6, 40)
export const HOUR_MS = 3_600_000

export function aForecast(atMs = NOW_MS): BatchForecastView {
  const about = (p50: number) => ({ p10: 0.8 * p50, p50, p90: 1.2 * p50 })
  const band = (hours: number) => ({
    p10: atMs + (hours - 2) * HOUR_MS,
    p50: atMs + hours * HOUR_MS,
    p90: atMs + (hours + 3) * HOUR_MS,
  })
  return {
    atMs,
    t10: band(8),
    t90: band(14),
    harvest: {
      fromMs: atMs + 13 * HOUR_MS,
      bestMs: atMs + 15 * HOUR_MS,
      untilMs: atMs + 18 * HOUR_MS,
      best: band(15),
    },
    hatchedNow: { p10: 0, p50: 0.01, p90: 0.1 },
    stage: 'incubating',
    progress: 0.4,
    expectedWater: { p10: 26.2, p50: 26.8, p90: 27.3 },
    reachesHatch: true,
    goal: 'balanced',
    stages: { umbrella: about(0.05), instarI: about(0.01), instarII: about(0) },
    energyLeft: about(0.8),
    hatchPercentage: about(0.7),
    naupliiPerG: about(200_000),
    nauplii: about(400_000),
    why: [
      {
        kind: 'cooler',
        sinceMs: atMs - 4 * HOUR_MS,
        laterMs: 1.5 * HOUR_MS,
        waterC: 25,
        plannedC: 27.2,
        expected: false,
        sure: true,
      },
    ],
    heading: { limitC: 29.4, at: { p10: atMs + HOUR_MS, p50: atMs + 2 * HOUR_MS, p90: Infinity } },
    lot: { name: 'A', batches: 1, observations: 2 },
  }
}

export function anAlarm(over: Partial<Alarm> = {}): Alarm {
  return {
    ...PLAIN,
    id: 'alarm-1',
    vesselId: 'v1',
    rule: 'water-too-hot',
    state: 'unacknowledged',
    priority: 'critical',
    raisedAtMs: NOW_MS - 60_000,
    announcedAtMs: NOW_MS - 60_000,
    clearedAtMs: null,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    reason: 'above-limit',
    action: 'Take the lamp away.',
    text: 'Water is 30.1 °C (86.2 °F). Take the lamp away.',
    value: 30.1,
    limit: 29.4,
    ...over,
  }
}

export function aDevice(name: string): DeviceView {
  return {
    row: { name, createdAtMs: NOW_MS - HOUR_MS, revokedAtMs: null },
    online: true,
    lastHeardAtMs: NOW_MS,
    firmware: '1.0',
    rssiDbm: -61,
    uptimeS: 3600,
    backlog: 0,
    channels: [
      {
        name: 'water',
        unit: 'Cel',
        latest: { atMs: NOW_MS, value: 26.5, quality: 'good' },
        assignedTo: { vesselId: 'v1', role: 'water' },
      },
      {
        name: 'spare',
        unit: '',
        latest: { atMs: NOW_MS, value: null, quality: 'reported-fault' },
        assignedTo: null,
      },
    ],
  }
}

export const LOTS: LotView[] = [
  {
    name: 'A',
    batches: 1,
    lastUsedAtMs: NOW_MS - HOUR_MS,
    summary: {
      verdict: 'learning',
      reason: { name: 'few-counts', counts: 1 },
      medianDegH: { p10: 250, p50: 290, p90: 330 },
      synchronyDegH: { p10: 90, p50: 110, p90: 130 },
      hatchPercentage: { p10: 0.6, p50: 0.7, p90: 0.8 },
      naupliiPerG: { p10: 150_000, p50: 180_000, p90: 200_000 },
      counted: {
        batches: 1,
        naupliiPerG: { mean: 170_000, least: 170_000, most: 170_000 },
        hatchShare: 0.68,
      },
      harvests: { of: 'hatch-percentage', chart: { values: [], limits: null } },
      batches: 1,
      observations: 2,
      counts: 1,
      doubted: 0,
    },
  },
]
