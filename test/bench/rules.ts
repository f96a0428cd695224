import { runVirtual } from '../../sim/virtual.ts'
import { scenarioNamed } from '../../sim/scenarios/index.ts'
import { Quality } from '../../broker/intake/reading.ts'
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

/**
 * A batch of 36 h at one reading a second and channel, followed and judged by every rule; reading it back and forecasting left out.
 * It lies in columns, as the store keeps it, and each reading is made when its turn comes, as intake makes it: a million of them made
 * before would measure how fast the memory finds them.
 */
export const rules: Subject = {
  name: 'rules',
  measure({ repeats }: Settings) {
    const columns = batch()
    judged(columns, 20_000)
    const perSecond = Array.from({ length: repeats }, () => {
      // Processor time: what one core does, whatever else the machine is busy with.
      const began = process.cpuUsage()
      judged(columns)
      const { user, system } = process.cpuUsage(began)
      return (ROLES.length * columns.atMs.length) / ((user + system) / 1e6)
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

const ROLES = ['water', 'air', 'light'] as const
type Columns = Readonly<Record<(typeof ROLES)[number] | 'atMs', Float64Array>>

function batch(): Columns {
  const seconds = HOURS * 3600
  const columns = {
    atMs: new Float64Array(seconds),
    water: new Float64Array(seconds),
    air: new Float64Array(seconds),
    light: new Float64Array(seconds),
  }
  let at = 0
  runVirtual(scenarioNamed('healthy'), {
    hours: HOURS,
    stepS: 10,
    seed: 1,
    onSample({ atS, waterC, airLpm, lightLx }) {
      for (let second = 0; second < 10; second++, at++) {
        columns.atMs[at] = BEGINS_MS + (atS + second) * 1000
        columns.water[at] = waterC
        columns.air[at] = airLpm
        columns.light[at] = lightLx
      }
    },
  })
  return columns
}

/** As the room does it: each reading is followed and judged, and twice a minute it is looked where the water is going. */
function judged(columns: Columns, seconds = columns.atMs.length): VesselMemory {
  const vessel = new VesselLive({
    id: 'v1',
    name: 'Cone',
    litres: 1,
    createdAtMs: BEGINS_MS,
    retiredAtMs: null,
  })
  const assigned = (role: (typeof ROLES)[number]) =>
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
  for (const role of ROLES) vessel.assign(role, assigned(role))
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
  for (let second = 0; second < seconds; second++) {
    const atMs = columns.atMs[second]!
    for (const role of ROLES) {
      const event = {
        kind: 'reading',
        quality: Quality.good,
        atMs,
        role,
        value: columns[role][second]!,
      } as const
      vessel.follow(role, event, defaultRules)
      if (atMs >= lookAtMs) {
        lookAtMs = atMs + LOOK_EVERY_S * 1000
        vessel.look(limit, atMs)
      }
      vessel.memory = judge(vessel.memory, vessel.facts(), event, defaultRules, newId).memory
    }
  }
  return vessel.memory
}
