import { runVirtual } from '../../sim/virtual.ts'
import { scenarioNamed } from '../../sim/scenarios/index.ts'
import { Quality } from '../../broker/intake/reading.ts'
import type { VesselEvent } from '../../broker/rules/contract.ts'
import { defaultRules } from '../../broker/rules/defaults.ts'
import { judge } from '../../broker/rules/judge.ts'
import type { VesselMemory } from '../../broker/rules/memory.ts'
import { VesselLive } from '../../broker/room/vessel-live.ts'
import { middle } from './numbers.ts'
import type { Settings, Subject } from './subject.ts'

const HOURS = 36
const BEGINS_MS = Date.UTC(2026, 0, 5, 8)
/** How often the room looks ahead, s. */
const LOOK_EVERY_S = 30

/** A batch of 36 h at one reading a second and channel, followed and judged by every rule; reading it back and forecasting left out. */
export const rules: Subject = {
  name: 'rules',
  measure({ repeats }: Settings) {
    const events = batch()
    judged(events.slice(0, 60_000))
    const perSecond = Array.from({ length: repeats }, () => {
      // Processor time: what one core does, whatever else the machine is busy with.
      const began = process.cpuUsage()
      judged(events)
      const { user, system } = process.cpuUsage(began)
      return events.length / ((user + system) / 1e6)
    })
    return Promise.resolve([
      {
        name: `${HOURS} h at 1/s judged by every rule, readings a second`,
        unit: '1/s',
        bar: { atLeast: 1_000_000 },
        ...middle(perSecond),
      },
    ])
  },
}

type ReadingEvent = Extract<VesselEvent, { kind: 'reading' }>

function batch(): ReadingEvent[] {
  const events: ReadingEvent[] = []
  runVirtual(scenarioNamed('healthy'), {
    hours: HOURS,
    stepS: 10,
    seed: 1,
    onSample({ atS, waterC, airLpm, lightLx }) {
      for (let second = 0; second < 10; second++) {
        const atMs = BEGINS_MS + (atS + second) * 1000
        const reading = { kind: 'reading', quality: Quality.good, atMs } as const
        events.push(
          { ...reading, role: 'water', value: waterC },
          { ...reading, role: 'air', value: airLpm },
          { ...reading, role: 'light', value: lightLx },
        )
      }
    },
  })
  return events
}

/** As the room does it: each reading is followed and judged, and twice a minute it is looked where the water is going. */
function judged(events: readonly ReadingEvent[]): VesselMemory {
  const vessel = new VesselLive({
    id: 'v1',
    name: 'Cone',
    litres: 1,
    createdAtMs: BEGINS_MS,
    retiredAtMs: null,
  })
  const assigned = (role: 'water' | 'air' | 'light') =>
    ({
      id: role,
      vesselId: 'v1',
      role,
      device: 'd',
      channel: role,
      offset: 0,
      fromMs: 0,
      toMs: null,
    }) as const
  for (const role of ['water', 'air', 'light'] as const) vessel.assign(role, assigned(role))
  vessel.batch = {
    id: 'b1',
    vesselId: 'v1',
    startedAtMs: BEGINS_MS,
    endedAtMs: null,
    litres: 1,
    cystsG: 2,
    salinityGpl: 25,
    lot: null,
    goal: 'balanced',
    note: null,
  }
  let ids = 0
  const newId = () => `a${ids++}`
  const { limit } = defaultRules['water-too-hot']
  let lookAtMs = BEGINS_MS
  for (const event of events) {
    vessel.follow(event.role, event, defaultRules)
    if (event.atMs >= lookAtMs) {
      lookAtMs = event.atMs + LOOK_EVERY_S * 1000
      vessel.look(limit, event.atMs)
    }
    vessel.memory = judge(vessel.memory, vessel.facts(), event, defaultRules, newId).memory
  }
  return vessel.memory
}
