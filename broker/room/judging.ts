import type { Alarm } from '../rules/alarm.ts'
import { AlarmState } from '../rules/alarm.ts'
import { airWaitsMs } from '../rules/air-lost.ts'
import { callsByItself, causesOf, liftsOf, type CauseFacts } from '../rules/causes.ts'
import type { Transition, VesselEvent } from '../rules/contract.ts'
import { judge } from '../rules/judge.ts'
import { encodeMemory } from '../rules/memory.ts'
import { ROLES } from './roles.ts'
import type { RoomState } from './state.ts'
import type { VesselLive } from './vessel-live.ts'
import { noteStep } from './watch-log.ts'

/**
 * Lets the rules judge one event of one vessel, finds out which alarm is only the consequence of another, tells the alarms that
 * changed at once, and keeps them with the commit at the end of this turn: the alarm never waits for the disk.
 */
export function judgeEvent(state: RoomState, vessel: VesselLive, event: VesselEvent): readonly Transition[] {
  const before = vessel.memory
  const judged = judgeOne(state, vessel, event)
  if (vessel.memory.hush !== before.hush) {
    vessel.levelAnew()
    state.tell({ kind: 'vessel', vessel: vessel.view() })
  }
  if (judged.length === 0) {
    if (vessel.memory.hush !== before.hush) keepMemory(state, vessel)
    return judged
  }
  const all = withCauses(state, judged, event.atMs)
  keepMemory(state, vessel)
  tellAlarms(state, all, 'by' in event ? event.by : null)
  return all
}

/** Looks at causes and consequences anew, after an alarm that belongs to no vessel changed or more became known of a vessel. */
export function settleCauses(state: RoomState, atMs: number): void {
  if (state.standing.size > 0) tellAlarms(state, withCauses(state, [], atMs))
}

/** Keeps the rules' memory if it has changed since it was last kept. */
export function keepMemory(state: RoomState, vessel: VesselLive): void {
  if (vessel.memory === vessel.memoryKept) return
  vessel.memoryKept = vessel.memory
  const json = encodeMemory(vessel.memory)
  const vesselId = vessel.row.id
  state.unkept.keep('keeping the rules’ memory', `memory ${vesselId}`, () =>
    state.parts.store.keepRuleMemory({ vesselId, json }),
  )
}

function judgeOne(state: RoomState, vessel: VesselLive, event: VesselEvent): readonly Transition[] {
  const { memory, transitions } = judge(
    vessel.memory,
    vessel.facts(state.settings.altitudeM),
    event,
    state.settings.rules,
    state.parts.newId,
  )
  vessel.memory = memory
  return transitions
}

/** A chain is found link by link; no chain has more. */
const MOST_LINKS = 5

/**
 * What was decided, with what follows from it for other alarms. A raising that turns out to be a consequence in the same step is
 * not told as one: nobody is called for it.
 */
function withCauses(state: RoomState, judged: readonly Transition[], atMs: number): readonly Transition[] {
  let all = judged
  const standing = new Map(state.standing)
  const note = ({ alarm }: Transition): void => {
    if (alarm.state === AlarmState.normal) standing.delete(alarm.id)
    else standing.set(alarm.id, alarm)
  }
  judged.forEach(note)
  if (standing.size === 0) return all
  const facts = factsOf(state)
  let causes: ReadonlyMap<string, string> = new Map()
  for (let round = 0; round < MOST_LINKS; round++) {
    causes = causesOf([...standing.values()], facts)
    const changed = [...standing.values()].filter(alarm => alarm.causedBy !== (causes.get(alarm.id) ?? null))
    let found = false
    for (const alarm of changed) {
      const vessel = alarm.vesselId === null ? undefined : state.vessels.get(alarm.vesselId)
      if (!vessel) continue
      const causedBy = causes.get(alarm.id) ?? null
      const isNew = all.some(({ raised, alarm: { id } }) => raised && id === alarm.id)
      const told = state.standing.get(alarm.id)?.announcedAtMs ?? null
      const blamed = judgeOne(state, vessel, {
        kind: 'cause',
        rule: alarm.rule,
        causedBy,
        ...(isNew ? { announcedAtMs: told } : {}),
        atMs: Math.max(atMs, alarm.announcedAtMs ?? atMs),
      })
      if (blamed.length === 0) continue
      found = true
      blamed.forEach(note)
      if (causedBy !== null) all = all.filter(({ raised, alarm: { id } }) => !raised || id !== alarm.id)
      all = [...all, ...blamed]
      keepMemory(state, vessel)
    }
    if (!found) break
  }
  for (const lifted of withLifts(state, [...standing.values()], causes, all, atMs)) {
    const { id } = lifted.alarm
    // What is raised and made louder in one step is told once, as it is in the end.
    const raised = lifted.raised || all.some(told => told.raised && told.alarm.id === id)
    all = [...all.filter(told => !told.raised || told.alarm.id !== id), { alarm: lifted.alarm, raised }]
  }
  return all
}

/** Makes the beginning of each chain as loud as the loudest that came of it. */
function withLifts(
  state: RoomState,
  standing: readonly Alarm[],
  causes: ReadonlyMap<string, string>,
  told: readonly Transition[],
  atMs: number,
): readonly Transition[] {
  const lifts = liftsOf(standing, causes)
  const lifted: Transition[] = []
  for (const { id, rule, vesselId } of standing) {
    const vessel = vesselId === null ? undefined : state.vessels.get(vesselId)
    if (!vessel) continue
    const [before, lift] = [vessel.memory.rules[rule].lift ?? null, lifts.get(id) ?? null]
    if (before?.by === lift?.by && before?.priority === lift?.priority) continue
    const isNew = told.some(({ raised, alarm }) => raised && alarm.id === id)
    lifted.push(...judgeOne(state, vessel, { kind: 'lift', rule, lift, isNew, atMs }))
    keepMemory(state, vessel)
  }
  return lifted
}

function tellAlarms(state: RoomState, transitions: readonly Transition[], actor: string | null = null): void {
  const touched = new Set<string>()
  for (const { alarm, raised } of transitions) {
    for (const id of [state.standing.get(alarm.id)?.causedBy, alarm.causedBy]) if (id) touched.add(id)
    tellOne(state, withConsequences(state, alarm, state.standing.get(alarm.id)?.consequences ?? []), raised)
    noteStep(state, alarm, raised, actor)
  }
  for (const id of touched) {
    const cause = state.standing.get(id)
    if (!cause) continue
    const consequences = consequencesOf(state, id)
    const same = consequences.join() === cause.consequences.join()
    if (!same) tellOne(state, withConsequences(state, cause, consequences), false)
  }
}

function withConsequences(state: RoomState, alarm: Alarm, consequences: readonly string[]): Alarm {
  // What belongs to no vessel knows by itself how many it takes.
  if (alarm.vesselId === null) return { ...alarm, consequences }
  const vessels = new Set([alarm.vesselId, ...consequences.map(id => state.standing.get(id)?.vesselId)])
  vessels.delete(undefined)
  const isOfSeveral = vessels.size > 1 || alarm.takes !== undefined
  return { ...alarm, consequences, ...(isOfSeveral && { takes: vessels.size }) }
}

function tellOne(state: RoomState, alarm: Alarm, raised: boolean): void {
  state.setAlarm(alarm, raised)
  state.unkept.keep('keeping an alarm', `alarm ${alarm.id}`, () => state.parts.store.keepAlarm(alarm))
}

const consequencesOf = (state: RoomState, id: string): string[] =>
  [...state.standing.values()].filter(({ causedBy }) => causedBy === id).map(alarm => alarm.id)

function factsOf(state: RoomState): CauseFacts {
  return {
    settings: state.settings.rules,
    silentTogether: state.system.silentTogether,
    // As it stood before this step: what calls in it may still turn out to be a consequence.
    onTheirOwn: new Set([...state.standing.values()].filter(callsByItself).map(({ id }) => id)),
    vessel(id) {
      const vessel = state.vessels.get(id)
      if (!vessel) return undefined
      const { waterAtMs, airAtMs, lightAtMs, levelAtMs } = vessel.memory.clocks
      const known = vessel.facts(state.settings.altitudeM)
      return {
        devices: [...new Set(ROLES.flatMap(role => vessel.channels[role]?.device ?? []))],
        lampHeats: known.lampHeats,
        darkSinceMs: known.dark?.sinceMs,
        airWaitsMs: airWaitsMs(known),
        newestAtMs: { water: waterAtMs, air: airAtMs, light: lightAtMs, level: levelAtMs },
      }
    },
  }
}
