import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { createReceiver } from '../../broker/intake/receive.ts'
import { SILENT } from '../../broker/intake/logger.ts'
import { newCounts } from '../../broker/intake/stats.ts'
import type { Alarm } from '../../broker/rules/alarm.ts'
import { encodePack, type Measurement } from '../../firmware-protocol/pack.ts'
import { topicOf, TopicKind } from '../../firmware-protocol/topics.ts'
import { readingsOf } from '../../sim/rig.ts'
import { scenarioNamed } from '../../sim/scenarios/index.ts'
import type { Truth } from '../../sim/truth.ts'
import { runVirtual } from '../../sim/virtual.ts'
import { HOUR, openTestRoom, type Opened } from './opened.ts'

const STEP_S = 30

/** One raised alarm, with the hidden truth of that moment. */
interface Call {
  readonly rule: string
  readonly atH: number
  readonly alarm: Alarm
  readonly truth: Truth
}

let opened: Opened
beforeEach(async () => {
  opened = await openTestRoom()
})
afterEach(() => opened.close())

/** Plays a scenario through intake, rules and store, with no network and no waiting: the truth is looked at, never sent. */
async function play(name: string, hours: number, seed = 1): Promise<{ calls: Call[]; vesselId: string }> {
  const { row } = await opened.room.createVessel({ name: 'Cone 1', litres: 1 })
  const channel = (channel: string) => ({ device: 'bench-1', channel })
  await opened.room.assignChannels(row.id, {
    channels: { water: channel('water'), air: channel('air'), light: channel('light') },
    offsets: {},
  })
  const startMs = opened.nowMs
  await opened.room.startBatch({ vesselId: row.id, litres: 1, cystsG: 2, salinityGpl: 25 })
  const receiver = createReceiver({
    outlet: opened.outlet,
    registry: { seen: () => [], channels: () => [] },
    clock: () => opened.nowMs,
    logger: SILENT,
    counts: newCounts(),
  })
  let seq = 0
  const waiting: { atMs: number; measurements: ReturnType<typeof readingsOf> }[] = []
  const calls: Call[] = []
  const samples: (() => void)[] = []
  runVirtual(scenarioNamed(name), {
    hours,
    stepS: STEP_S,
    seed,
    onSample(sample) {
      const truth = sample.truth()
      samples.push(() => {
        opened.nowMs = startMs + sample.atS * 1000
        waiting.push({ atMs: opened.nowMs, measurements: readingsOf(sample, '') })
        if (sample.networkUp) {
          for (const { atMs, measurements } of waiting.splice(0)) {
            const timed = measurements.map((each): Measurement => ({
              ...each,
              timeS: (atMs - opened.nowMs) / 1000,
            }))
            receiver.measurements(
              {
                device: 'bench-1',
                topic: topicOf('bench-1', TopicKind.measurements),
                payload: encodePack({ boot: 'b', seq: seq++, measurements: timed }, 'json'),
              },
              error => expect(error).toBeNull(),
            )
          }
        }
        opened.tick()
        for (const change of opened.changes.splice(0)) {
          if (change.kind !== 'alarm' || !change.raised) continue
          calls.push({
            rule: change.alarm.rule,
            atH: (change.alarm.raisedAtMs - startMs) / HOUR,
            alarm: change.alarm,
            truth,
          })
        }
      })
    },
  })
  for (const [i, turn] of samples.entries()) {
    turn()
    if (i % 50 === 0) await opened.store.settled()
  }
  await opened.store.settled()
  return { calls, vesselId: row.id }
}

/** Minutes from an hour of a scenario until its water holds less than 2 mg/l of oxygen somewhere. */
function minutesToHarm(name: string, fromH: number): number {
  let harmH = Infinity
  runVirtual(scenarioNamed(name), {
    hours: fromH + 2,
    stepS: STEP_S,
    seed: 1,
    onSample(sample) {
      const { hours, bottomOxygenMgpl } = sample.truth()
      if (hours >= fromH && bottomOxygenMgpl < 2) harmH = Math.min(harmH, hours)
    },
  })
  return 60 * (harmH - fromH)
}

const rules = (calls: readonly Call[]) => [...new Set(calls.map(call => call.rule))]

describe('simulated batches, judged', () => {
  it.each([1, 2, 3])('calls nobody for a healthy batch (seed %i)', async seed => {
    const { calls } = await play('healthy', 36, seed)
    // Nobody harvests it, and that is told once, when it is time.
    expect(rules(calls).filter(rule => rule !== 'harvest-missed')).toEqual([])
    for (const { atH, truth } of calls) {
      expect(atH).toBeGreaterThan(truth.t90H!)
      expect(calls).toHaveLength(1)
    }
  })

  it.each([1, 2, 3])('calls for a lamp runaway before anything has died (seed %i)', async seed => {
    const { calls } = await play('lamp-runaway', 14, seed)
    expect(rules(calls)).toEqual(['water-heading-hot'])
    const [ahead] = calls
    expect(ahead!.atH).toBeGreaterThan(10)
    // The water is not at its limit yet, and nothing has died.
    expect(ahead!.truth.bottomC).toBeLessThan(29.4)
    expect(ahead!.truth.deadShare).toBe(0)
    expect(calls).toHaveLength(1)
  })

  it('calls for a stopped pump within a minute, as critical once the hatch is out', async () => {
    const { calls } = await play('pump-stopped', 24)
    const lost = calls.find(call => call.rule === 'air-lost')
    expect(lost!.atH).toBeGreaterThan(22)
    expect(lost!.atH).toBeLessThan(22 + 2 / 60)
    expect(lost!.alarm.priority).toBe('critical')
    // It must not promise more than there is, nor cry wolf: how long it really takes comes from the simulated water.
    const told = Number(/about (\d+) min for this vessel/.exec(lost!.alarm.text)?.[1])
    const really = minutesToHarm('pump-stopped', 22)
    expect(told).toBeLessThanOrEqual(really)
    expect(told).toBeGreaterThan(really / 4)
  })

  it('calls for a fading pump before it harms', async () => {
    const { calls } = await play('pump-fading', 26)
    const lost = calls.find(call => call.rule === 'air-lost')
    // Harm is feared below 2 mg/l (from memory).
    expect(lost!.truth.bottomOxygenMgpl).toBeGreaterThan(2)
    expect(lost!.truth.deadShare).toBe(0)
    expect(rules(calls)).toEqual(['air-fading', 'air-lost'])
    // Hours before it is nearly gone, while the water holds all it can.
    expect(lost!.atH - calls[0]!.atH).toBeGreaterThan(4)
    expect(calls[0]!.truth.bottomOxygenMgpl).toBeGreaterThan(5)
  })

  it('calls for an unplugged probe, and never takes its values for heat or cold', async () => {
    const { calls } = await play('probe-unplugged', 12)
    expect(rules(calls)).toEqual(['probe-fault'])
    expect(calls[0]!.atH).toBeGreaterThan(6)
    expect(calls[0]!.atH).toBeLessThan(6.1)
  })

  it('calls for a room that went cold, and for nothing else', async () => {
    const { calls } = await play('cold-room', 20)
    expect(rules(calls)).toEqual(['water-too-cool'])
    expect(calls).toHaveLength(1)
  })

  it('calls for the cooling that a dead lamp brings', async () => {
    const { calls } = await play('lamp-dead', 14)
    // One cause, one call: the lamp, once the water has followed it down, and not the cold that it brings.
    expect(rules(calls)).toEqual(['light-out'])
    expect(calls[0]!.atH).toBeGreaterThan(8)
    expect(calls[0]!.atH).toBeLessThan(8.5)
  })

  it('fills a network loss of hours in place, and calls it silence only meanwhile', async () => {
    const { calls, vesselId } = await play('network-out', 12)
    expect(rules(calls)).toEqual(['device-silent'])
    const { water } = await opened.room.readings(vesselId, {
      fromMs: 0,
      toMs: opened.nowMs + 1,
      points: 5000,
    })
    expect(water!.t).toHaveLength((12 * 3600) / STEP_S)
    const gaps = water!.t.slice(1).map((t, i) => t - water!.t[i]!)
    expect(Math.max(...gaps)).toBe(STEP_S * 1000)
  })
})
