import type { LiveChange } from '../../../broker/web/api/live.ts'
import type { Forecast } from '../../../broker/web/api/forecast.ts'
import type { Batch } from '../../../broker/web/api/batches.ts'
import type { Device } from '../../../broker/web/api/devices.ts'
import type { Vessel } from '../../../broker/web/api/vessels.ts'
import type { Alarm } from '../../../broker/web/api/schemas.ts'

import { HOUR_MS, iso, outAt } from './hatch.ts'

/** Invented vessels for looking at the dashboard without a broker: nothing here is measured or forecast. */
export { HOUR_MS, iso }
export { settings } from './settings.ts'
const good = (value: number, atMs: number) => ({ value, at: iso(atMs), quality: 'good' as const })

const around = (p50: number, by: number) => ({
  p10: Math.max(0, p50 - by),
  p50,
  p90: Math.min(1, p50 + by),
})

export function forecast(startMs: number, nowMs: number, hours: number): Forecast {
  const at = (h: number) => startMs + h * HOUR_MS
  const times = (h: number, spread: number) => ({
    p10: iso(at(h - spread)),
    p50: iso(at(h)),
    p90: iso(at(h + spread * 1.4)),
  })
  const t10 = hours * 0.72
  const t90 = hours * 0.95
  const aged = (nowMs - startMs) / HOUR_MS
  const hatched = outAt(aged, t10, t90)
  return {
    at: iso(nowMs),
    t10: times(t10, 1.4),
    t90: times(t90, 2),
    harvest: {
      from: iso(at(hours * 0.98)),
      best: iso(at(hours * 1.06)),
      until: iso(at(hours * 1.22)),
      bestBand: times(hours * 1.06, 1.8),
    },
    hatchedNow: { p10: outAt(aged - 1.5, t10, t90), p50: hatched, p90: outAt(aged + 1.5, t10, t90) },
    stage:
      aged < 2
        ? 'soaking'
        : aged < t10
          ? 'incubating'
          : aged < hours * 0.98
            ? 'hatching'
            : aged < hours * 1.22
              ? 'harvest'
              : 'overdue',
    progress: aged / hours,
    expectedWaterC: { p10: 26.8, p50: 27.3, p90: 27.8 },
    reachesHatch: true,
    goal: 'balanced',
    stagesNow: {
      umbrella: around(Math.max(0, outAt(aged + 1, t10, t90) - hatched), 0.04),
      instarI: around(hatched * 0.8, 0.1),
      instarII: around(hatched * 0.2, 0.1),
    },
    energyLeft: { p10: 0.9, p50: 0.93, p90: 0.96 },
    hatchShare: { p10: 0.66, p50: 0.74, p90: 0.81 },
    nauplii: { p10: 390_000, p50: 520_000, p90: 640_000 },
    why: [
      {
        kind: 'cooler',
        since: iso(nowMs - 6 * HOUR_MS),
        laterH: 1.85,
        waterC: 25.1,
        plannedC: 27.2,
      },
      { kind: 'faster-lot', since: null, laterH: -0.6, waterC: null, plannedC: null },
    ],
    heading: null,
    lot: { name: 'tin 7', batches: 3, observations: 5 },
  }
}

interface Plan {
  readonly name: string
  readonly litres: number
  readonly ageH: number | null
  readonly waterC: number
  readonly air: number
  readonly light: number
}

const PLANS: readonly Plan[] = [
  { name: 'Left cone', litres: 2, ageH: 18.6, waterC: 27.3, air: 0.8, light: 2150 },
  { name: 'Tall cone by the sink', litres: 10, ageH: 1.2, waterC: 24.6, air: 2.4, light: 1900 },
  { name: 'Night batch', litres: 2, ageH: 26.1, waterC: 28.9, air: 0.9, light: 2050 },
  { name: 'Number 4', litres: 1.5, ageH: 12, waterC: 29.9, air: 0.7, light: 2300 },
  { name: 'Cold corner', litres: 2, ageH: 9, waterC: 22.8, air: 0, light: 60 },
  { name: 'Spare', litres: 2, ageH: null, waterC: 22.1, air: 0, light: 3 },
]

export function vessels(count: number, nowMs: number): Vessel[] {
  return Array.from({ length: count }, (_, index) => {
    const plan = PLANS[index % PLANS.length] as Plan
    const id = `v${index + 1}`
    const startMs = plan.ageH === null ? null : nowMs - plan.ageH * HOUR_MS
    const batch: Batch | null =
      startMs === null
        ? null
        : {
            id: `b${index + 1}`,
            vesselId: id,
            startedAt: iso(startMs),
            endedAt: null,
            litres: plan.litres * 0.7,
            cystsG: 3,
            salinityGpl: 25,
            lot: 'tin 7',
            goal: 'balanced',
            note: null,
          }
    const device = `bench-${index + 1}`
    return {
      id,
      name: index < PLANS.length ? plan.name : `${plan.name} ${index + 1}`,
      litres: plan.litres,
      createdAt: iso(nowMs - 90 * 24 * HOUR_MS),
      channels: {
        water: `${device}/water`,
        'upper-water': null,
        room: null,
        air: `${device}/air`,
        light: `${device}/light`,
        level: null,
      },
      offsets: { water: 0, 'upper-water': 0, room: 0, air: 0, light: 0, level: 0 },
      latest: {
        waterC: good(plan.waterC, nowMs),
        upperWaterC: null,
        roomC: null,
        airLpm: good(plan.air, nowMs),
        lightLx: good(plan.light, nowMs),
        levelShare: null,
      },
      batch,
      forecast: startMs === null ? null : forecastOf(plan, startMs, nowMs),
      suppression: null,
    }
  })
}

/** One knows its lot well, one not at all, one heads for its limit. */
function forecastOf(plan: Plan, startMs: number, nowMs: number): Forecast {
  const base = forecast(startMs, nowMs, plan.waterC < 24 ? 33 : 23)
  if (plan.waterC > 28.5 && plan.waterC < 29.4) {
    const at = (hours: number) => iso(nowMs + hours * HOUR_MS)
    return {
      ...base,
      heading: { limitC: 29.4, at: { p10: at(0.7), p50: at(1), p90: at(1.6) } },
      expectedWaterC: { p10: 28.9, p50: 29.6, p90: 30.4 },
    }
  }
  if (plan.waterC > 25) return base
  const wide = {
    ...base.harvest.bestBand,
    p10: iso(startMs + 18 * HOUR_MS),
    p90: iso(startMs + 39 * HOUR_MS),
  }
  return {
    ...base,
    harvest: { ...base.harvest, bestBand: wide },
    lot: { name: 'tin 9', batches: 1, observations: 0 },
    why: [],
  }
}

export function devices(all: readonly Vessel[], nowMs: number): Device[] {
  const device = (name: string, vesselId: string | null, waterC: number): Device => ({
    name,
    createdAt: iso(nowMs - 40 * 24 * HOUR_MS),
    online: true,
    lastHeardAt: iso(nowMs),
    firmware: '0.3.1',
    rssiDbm: -61,
    uptimeS: 86_000,
    backlog: 0,
    revokedAt: null,
    newPasswordUntil: null,
    pairedAt: null,
    startedAt: null,
    dropped: null,
    resetReason: null,
    clockErrorMs: null,
    freeBytes: null,
    configRevision: null,
    channels: [
      {
        name: 'water',
        unit: 'Cel',
        latest: good(waterC, nowMs),
        assignedTo: vesselId ? { vesselId, role: 'water' } : null,
      },
      {
        name: 'air',
        unit: 'l/min',
        latest: good(0.8, nowMs),
        assignedTo: vesselId ? { vesselId, role: 'air' } : null,
      },
      {
        name: 'light',
        unit: 'lx',
        latest: good(1900, nowMs),
        assignedTo: vesselId ? { vesselId, role: 'light' } : null,
      },
    ],
  })
  return all.map((vessel, index) =>
    device(`bench-${index + 1}`, vessel.id, vessel.latest.waterC?.value ?? 20),
  )
}

export const newDevice = (nowMs: number): Device => ({
  ...(devices([], nowMs)[0] ?? {
    createdAt: iso(nowMs),
    online: true,
    lastHeardAt: iso(nowMs),
    firmware: null,
    rssiDbm: -70,
    uptimeS: 60,
    backlog: 0,
    revokedAt: null,
    newPasswordUntil: null,
    pairedAt: null,
    startedAt: null,
    dropped: null,
    resetReason: null,
    clockErrorMs: null,
    freeBytes: null,
    configRevision: null,
  }),
  name: 'bench-new',
  channels: [
    { name: 'water', unit: 'Cel', latest: good(24.9, nowMs), assignedTo: null },
    { name: 'air', unit: 'l/min', latest: good(0.62, nowMs), assignedTo: null },
    { name: 'light', unit: 'lx', latest: good(840, nowMs), assignedTo: null },
  ],
})

/** Alarms that call nobody now, each for another reason. */
export function setAside(nowMs: number): Alarm[] {
  const [first] = alarms(nowMs)
  if (!first) return []
  const by = 'Kim'
  const until = iso(nowMs + 40 * 60_000)
  return [
    {
      ...first,
      id: 's1',
      vesselId: 'v1',
      rule: 'water-too-cool',
      state: 'shelved',
      shelvedUntil: until,
      setAsideBy: by,
    },
    { ...first, id: 's2', vesselId: 'v2', rule: 'light-out', state: 'out-of-service', setAsideBy: by },
    {
      ...first,
      id: 's3',
      vesselId: 'v5',
      rule: 'water-too-cool',
      state: 'suppressed-by-design',
      causedBy: 'a1',
    },
  ]
}

export function alarms(nowMs: number): Alarm[] {
  const alarm = (
    id: string,
    vesselId: string,
    rule: Alarm['rule'],
    priority: Alarm['priority'],
    reason: Alarm['reason'],
    words: readonly [measured: string, action: string, then: string],
    [value, limit]: readonly [number, number],
  ): Alarm => ({
    id,
    vesselId,
    rule,
    priority,
    reason,
    action: words[1],
    text: words.join(' '),
    value,
    limit,
    state: 'unacknowledged',
    raisedAt: iso(nowMs - 4 * 60_000),
    clearedAt: null,
    acknowledgedAt: null,
    acknowledgedBy: null,
    announcedAt: iso(nowMs - 4 * 60_000),
    shelvedUntil: null,
    shelvedOnce: false,
    setAsideBy: null,
    suppressedUntil: null,
    causedBy: null,
    consequences: id === 'a1' ? ['s3'] : [],
  })
  return [
    alarm(
      'a1',
      'v4',
      'water-too-hot',
      'critical',
      'above-limit',
      [
        'The water in Number 4 is 29.5 °C (85.1 °F), above its limit of 29.4 °C (84.9 °F).',
        'Switch the lamp off at a dry plug; leave the air on.',
        'A heater likewise; then let the water cool by itself. Never reach into the water while mains equipment is in or over it.',
      ],
      [29.5, 29.4],
    ),
    alarm(
      'a2',
      'v5',
      'air-lost',
      'high',
      'below-limit',
      [
        'The air into Cold corner is 0 l/min, less than the 0.14 l/min that its water needs: before the hatch this is a delay, not a loss.',
        'Look at the pump, then for a kinked line or a shut valve.',
        'Shut the line or lift the pump above the water before you open it.',
      ],
      [0, 0.1],
    ),
    alarm(
      'a3',
      'v5',
      'water-too-cool',
      'low',
      'below-limit',
      [
        'The water in Cold corner is 23.9 °C (75.0 °F), below 24.0 °C (75.2 °F): the hatch is slower, not dead.',
        'See that its lamp or heater is on and near enough.',
        'Warm the water gently; fix a hot lamp firmly, well away from plastic and from the splash.',
      ],
      [23.9, 24],
    ),
  ]
}

/** One step of every vessel's readings. */
export function readings(all: readonly Vessel[], nowMs: number, chance: () => number): LiveChange[] {
  const wander = (value: number, by: number) => Math.round((value + (chance() - 0.5) * by) * 1000) / 1000
  return all.flatMap((vessel, index): LiveChange[] => {
    const plan = PLANS[index % PLANS.length] as Plan
    const change = (channel: 'waterC' | 'airLpm' | 'lightLx', value: number): LiveChange => ({
      kind: 'reading',
      vesselId: vessel.id,
      channel,
      latest: good(Math.max(0, value), nowMs),
      late: false,
    })
    return [
      change('waterC', wander(plan.waterC, 0.12)),
      change('airLpm', plan.air === 0 ? 0 : wander(plan.air, 0.06)),
      change('lightLx', wander(plan.light, plan.light * 0.02)),
    ]
  })
}
