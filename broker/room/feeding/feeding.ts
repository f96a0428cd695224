import type { Clock } from '../../clock.ts'
import { hashSecret, newSecret, secretMatches } from '../../secrets.ts'
import { USUAL_SALINITY_GPL } from '../../hatch/recipe/usual.ts'
import type { Store } from '../../store/contract.ts'
import { RoomError, RoomErrorKind, type Room } from '../contract.ts'
import { feedingsOf } from '../../plan/feedings.ts'
import { stillToFeed } from '../../plan/late.ts'
import { changesBetween } from './changes.ts'
import { dropCohort, keepCohort, listCohorts } from './cohorts.ts'
import { PlanCause, type Feeding, type Pantry, type PlanPreferences, type PlanView } from './contract.ts'
import { dangerFor, isDanger } from './danger.ts'
import { gather } from './gather.ts'
import { createGiven } from './given.ts'
import { loadPreferences, savePreferences } from './preferences.ts'
import { isDone, restOf } from './rest.ts'
import { vesselNamesOf } from './sources.ts'
import { createPlanner, type Planner } from './thread.ts'
import { UsualWater } from './usual-water.ts'

/** Changes that come together make one plan: it waits so long for more of them. */
const GATHER_MS = 2000
/** Time alone makes a plan old. */
const OLD_MS = 15 * 60_000
/** A harvest that moves by less than this moves no plan. */
const MOVED_MS = 15 * 60_000
/** After a plan failed, the next try. */
const AGAIN_MS = 60_000
/** What was given is shown for so long. */
const FED_SHOWN_MS = 36 * 3_600_000
const CALENDAR_KEY = 'calendar-key'

const HOUR_MS = 3_600_000

/** How much of a source all the meals of a plan take, nauplii. */
const usedOf = ({ meals }: Pick<PlanView, 'meals'>, sourceId: string): number =>
  meals
    .flatMap(({ servings }) => servings)
    .reduce((sum, serving) => (serving.sourceId === sourceId ? sum + serving.nauplii : sum), 0)

export interface FeedingParts {
  readonly store: Store
  readonly room: Room
  readonly clock: Clock
  readonly newId: () => string
  readonly logger: { error(details: object, message: string): void }
  /** The zone to begin with: the machine's. */
  readonly zone: string
  readonly pantry?: Pantry | null
  readonly planner?: Planner
  /** A clock that is never set, ms, to time the planning by. */
  readonly monotonicMs?: () => number
}

/** Opens the feeding plan of a room. It is made off the event loop, and made anew as things change. */
export async function openFeeding(parts: FeedingParts): Promise<Feeding> {
  const { store, room, clock, logger } = parts
  const planner = parts.planner ?? createPlanner()
  const usualWater = new UsualWater(room)
  const listeners = new Set<(plan: PlanView) => void>()
  let preferences: PlanPreferences = await loadPreferences(store, parts.zone)
  let current: PlanView | null = null
  let causes = new Set<PlanCause>([PlanCause.first])
  let changedAtMs = clock()
  let making: Promise<PlanView> | null = null
  let failedAtMs = -Infinity
  let closes = false

  function changed(cause: PlanCause): void {
    if (causes.size === 0) changedAtMs = clock()
    causes.add(cause)
  }
  const given = createGiven({
    ...parts,
    cohorts: () => listCohorts(parts),
    zone: () => preferences.zone,
    changed: () => changed(PlanCause.fed),
  })
  const stop = room.onChange(change => {
    if (change.kind === 'vessel' || change.kind === 'vessel-removed') changed(PlanCause.batches)
    if (change.kind === 'alarm') {
      // An alarm is told of at each of its steps: only what may cost a batch anew, or no more, makes another plan.
      const planned = current?.running.find(({ vesselId }) => vesselId === change.alarm.vesselId)
      const known = planned?.danger ?? null
      if (planned && (isDanger(change.alarm) ? known === null : known?.alarmId === change.alarm.id))
        changed(PlanCause.alarms)
    }
    if (change.kind !== 'forecast' || !change.forecast) return
    const planned = current?.running.find(({ vesselId }) => vesselId === change.vesselId)
    if (planned && Math.abs(planned.readyMs - change.forecast.harvest.bestMs) >= MOVED_MS)
      changed(PlanCause.forecast)
  })

  async function make(): Promise<PlanView> {
    const because = [...causes]
    causes = new Set()
    try {
      const cohorts = await listCohorts(parts)
      const fed = await given.list(clock() - FED_SHOWN_MS)
      const gathered = await gather(
        { room, clock, pantry: parts.pantry ?? null, usualWater },
        cohorts,
        preferences,
      )
      const standing = fed.filter(({ withdrawnAtMs }) => withdrawnAtMs === null)
      const open = await given.open()
      const late = stillToFeed(open, cohorts, { nowMs: gathered.nowMs, zone: gathered.zone })
      const ids = new Set(standing.flatMap(({ mealId }) => mealId ?? []))
      const partly = feedingsOf(cohorts, {
        fromMs: gathered.nowMs,
        untilMs: gathered.untilMs,
        zone: gathered.zone,
      }).filter(meal => ids.has(meal.id) && !isDone(meal, standing))
      const input = {
        ...gathered,
        late,
        given: [...ids].filter(id => ![...partly, ...open].some(meal => meal.id === id)),
        rest: Object.fromEntries(partly.map(meal => [meal.id, restOf(meal, standing)])),
      }
      const beganMs = parts.monotonicMs?.() ?? 0
      const plan = await planner.plan(input)
      const { alarms, vessels } = room.snapshot()
      const view: PlanView = {
        ...plan,
        computedAtMs: input.nowMs,
        tookMs: Math.round((parts.monotonicMs?.() ?? 0) - beganMs),
        untilMs: input.untilMs,
        causes: because,
        changes: current ? changesBetween(current, plan, input.nowMs) : [],
        preferences,
        cohorts,
        vessels: input.vessels.map(({ id, name, litres }) => ({ id, name, litres })),
        lots: input.lots,
        held: input.held.map(({ id, nauplii, heldSinceMs }) => ({
          id,
          nauplii,
          used: usedOf(plan, id),
          untilMs: input.cold && heldSinceMs + input.cold.keepsH * HOUR_MS,
        })),
        sources: await vesselNamesOf(room, parts.pantry ?? null, fed),
        open,
        fed,
        running: vessels.flatMap(({ row, batch, forecast }) =>
          batch && forecast
            ? [
                {
                  id: batch.id,
                  vesselId: row.id,
                  startedAtMs: batch.startedAtMs,
                  readyMs: forecast.harvest.bestMs,
                  danger: dangerFor(alarms, row.id),
                },
              ]
            : [],
        ),
      }
      current = view
      for (const listener of listeners) listener(view)
      return view
    } catch (error) {
      for (const cause of because) causes.add(cause)
      failedAtMs = clock()
      throw error
    }
  }
  function renewed(): Promise<PlanView> {
    making ??= make().finally(() => (making = null))
    return making
  }
  const isOld = () => current === null || clock() - current.computedAtMs >= OLD_MS

  return {
    cohorts: () => listCohorts(parts),
    async keepCohort(id, fields) {
      const kept = await keepCohort(parts, id, fields)
      changed(PlanCause.cohorts)
      return kept
    },
    async dropCohort(id) {
      await dropCohort(parts, id)
      changed(PlanCause.cohorts)
    },
    preferences: () => preferences,
    async changePreferences(wanted) {
      await savePreferences(store, wanted)
      preferences = wanted
      changed(PlanCause.preferences)
      return wanted
    },
    async plan() {
      // What is being made may not know yet of what changed meanwhile.
      if (making) await making.catch(() => undefined)
      if (causes.size === 0 && isOld()) changed(PlanCause.time)
      return causes.size === 0 && current ? current : renewed()
    },
    async startPlanned(id, note) {
      const start = current?.starts.find(each => each.id === id)
      if (!start)
        throw new RoomError(RoomErrorKind.notFound, `Cannot start it: the plan has no start ${id} any more`)
      const vessel = room.vessel(start.vesselId)
      const lot = current?.lots.find(each => each.id === start.lotId)?.name ?? ''
      const [last] = await room.batches({ vesselId: start.vesselId, limit: 1 })
      return room.startBatch({
        vesselId: start.vesselId,
        litres: current?.vessels.find(({ id: own }) => own === start.vesselId)?.litres ?? vessel.row.litres,
        cystsG: start.grams,
        salinityGpl: last?.salinityGpl ?? USUAL_SALINITY_GPL,
        goal: start.goal,
        ...(lot === '' ? {} : { lot }),
        ...(note === undefined ? {} : { note }),
      })
    },
    given,
    async newCalendarKey() {
      const key = newSecret()
      await store.keepDocument(CALENDAR_KEY, JSON.stringify(hashSecret(key)))
      return key
    },
    dropCalendarKey: () => store.keepDocument(CALENDAR_KEY, 'null'),
    hasCalendarKey: async () => (await calendarHash()) !== null,
    async knowsCalendarKey(key) {
      const hash = await calendarHash()
      return hash !== null && secretMatches(key, hash)
    },
    onPlan(listener) {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
    tick() {
      const nowMs = clock()
      if (making || nowMs - failedAtMs < AGAIN_MS) return
      if (causes.size === 0 && isOld()) changed(PlanCause.time)
      if (causes.size === 0 || nowMs - changedAtMs < GATHER_MS) return
      renewed().catch((error: unknown) => {
        // A plan that a stopping service breaks off is made anew at its next start.
        if (!closes) logger.error({ error }, 'planning the feeding failed')
      })
    },
    async close() {
      closes = true
      stop()
      await planner.close()
      await making?.catch(() => undefined)
    },
  }

  async function calendarHash(): Promise<string | null> {
    const json = await store.document(CALENDAR_KEY)
    return json === undefined ? null : (JSON.parse(json) as string | null)
  }
}
