import { KEPT_UNIT, toKeptUnit } from '../../../firmware-protocol/channels.ts'
import { Quality, type PlacedPack } from '../../../broker/intake/reading.ts'
import { type Alarm, PLAIN as PLAIN_ALARM } from '../../../broker/rules/alarm.ts'
import { Role, WatchKind } from '../../../broker/store/contract.ts'
import { openStore } from '../../../broker/store/sqlite/open.ts'
import { readingsOf } from '../../../sim/rig.ts'
import type { Scenario } from '../../../sim/scenario.ts'
import { runVirtual } from '../../../sim/virtual.ts'

const DEVICE = 'bench-1'
export const VESSEL = 'vessel-1'
export const BATCH = 'batch-1'
const HOUR_MS = 3_600_000
const PACKS_A_TURN = 500
const ROLES = ['water', 'room', 'air', 'light'] as const

export interface PastBatch {
  readonly startedAtMs: number
  readonly endedAtMs: number
  /** When the alarm called, where the story has one. */
  readonly calledAtMs: number | null
}

/** Keeps an ended batch of 36 h at one reading a second and sensor: its story, what people did, and the alarm that called. */
export async function keepPastBatch(dir: string, scenario: Scenario, hours = 36): Promise<PastBatch> {
  const endedAtMs = Math.floor(Date.now() / 1000) * 1000 - 20 * HOUR_MS
  const startedAtMs = endedAtMs - hours * HOUR_MS
  const store = await openStore({ dir })
  await store.keepVessel({
    id: VESSEL,
    name: 'Left cone',
    litres: 1.2,
    createdAtMs: startedAtMs,
    retiredAtMs: null,
  })
  for (const role of ROLES)
    await store.keepAssignment({
      id: role,
      vesselId: VESSEL,
      role: Role[role],
      device: DEVICE,
      channel: role,
      offset: 0,
      fromMs: startedAtMs - HOUR_MS,
      toMs: null,
    })
  await store.keepBatch({
    id: BATCH,
    vesselId: VESSEL,
    startedAtMs,
    endedAtMs,
    litres: scenario.litres,
    cystsG: scenario.cystsGpl * scenario.litres,
    salinityGpl: scenario.salinityGpl,
    lot: 'Lot A',
    goal: 'balanced',
    note: null,
  })
  // Full cysts in a millilitre: a counted product of 252,678 a gram (published count of one product).
  const cystsPerMl = (252_678 * scenario.cystsGpl) / 1000
  const { packs, over, swim } = simulate(scenario, startedAtMs, hours)
  for (let i = 0; i < packs.length; i += PACKS_A_TURN)
    await Promise.all(packs.slice(i, i + PACKS_A_TURN).map(pack => store.keepPack(pack)))
  await store.seal(DEVICE)
  let written = 0
  const event = (hoursIn: number, kind: string, more: object = {}) =>
    store.keepBatchEvent({
      id: `event-${++written}`,
      batchId: BATCH,
      atMs: startedAtMs + hoursIn * HOUR_MS,
      recordedAtMs: startedAtMs + hoursIn * HOUR_MS,
      by: 'Ada',
      kind,
      json: JSON.stringify(more),
      withdrawnAtMs: null,
    })
  await event(5, 'ring-knocked-down')
  await event(hours - 0.2, 'count', {
    harvest: true,
    samples: [1, 2, 3].map(() => ({
      sampleMl: 1,
      nauplii: Math.round(swim * cystsPerMl),
      embryos: Math.round((1 - swim) * cystsPerMl),
    })),
  })
  if (over !== null) await keepAlarm(store, startedAtMs, over)
  await store.close()
  return { startedAtMs, endedAtMs, calledAtMs: over === null ? null : over.atMs + 60_000 }
}

interface Over {
  readonly atMs: number
  readonly waterC: number
}

function simulate(scenario: Scenario, fromMs: number, hours: number) {
  const packs: PlacedPack[] = []
  let over: Over | null = null
  const { end } = runVirtual(scenario, {
    seed: 1,
    hours,
    stepS: 1,
    onSample(sample) {
      if (!sample.networkUp) return
      const atMs = fromMs + (sample.atS - 1) * 1000
      if (over === null && (sample.waterC ?? 0) > 29.4) over = { atMs, waterC: sample.waterC ?? 0 }
      const readings = readingsOf(sample, '').map(({ name, unit, value }) => {
        const quantity = name as (typeof ROLES)[number]
        return {
          channel: name,
          quantity,
          unit: KEPT_UNIT[quantity],
          value: toKeptUnit(quantity, unit, value)!,
          quality: Quality.good,
          atMs,
        }
      })
      packs.push({ device: DEVICE, boot: 'past', seq: packs.length, receivedAtMs: atMs + 40, readings })
    },
  })
  const alive = end.census.instarI + end.census.instarII
  return { packs, over: over as Over | null, swim: alive / end.census.sample }
}

/** It called a minute after the water was over the limit; somebody acknowledged it four hours later; it was over with its batch. */
async function keepAlarm(store: Awaited<ReturnType<typeof openStore>>, startedAtMs: number, over: Over) {
  const calledAtMs = over.atMs + 60_000
  const seenAtMs = calledAtMs + 4 * HOUR_MS
  const alarm: Alarm = {
    ...PLAIN_ALARM,
    id: 'alarm-1',
    vesselId: VESSEL,
    rule: 'water-too-hot',
    state: 'normal',
    priority: 'high',
    raisedAtMs: calledAtMs,
    announcedAtMs: calledAtMs,
    clearedAtMs: startedAtMs + 36 * HOUR_MS,
    acknowledgedAtMs: seenAtMs,
    acknowledgedBy: 'Ada',
    reason: 'batch-ended',
    text: 'Water 29.5 °C (85.1 °F): too hot.',
    value: over.waterC,
    limit: 29.4,
  }
  await store.keepAlarm(alarm)
  const step = (
    atMs: number,
    state: Alarm['state'],
    reason: Alarm['reason'],
    calls: boolean,
    by: string | null,
  ) =>
    store.keepWatch({
      kind: WatchKind.alarm,
      atMs,
      vesselId: VESSEL,
      alarmId: alarm.id,
      json: JSON.stringify({
        rule: alarm.rule,
        state,
        priority: alarm.priority,
        reason,
        causedBy: null,
        calls,
        by,
        shelvedUntilMs: null,
        noticedAtMs: atMs,
      }),
    })
  await step(calledAtMs, 'unacknowledged', 'above-limit', true, null)
  await step(seenAtMs, 'acknowledged', 'acknowledged', false, 'Ada')
}
