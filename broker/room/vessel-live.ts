import type { Band, Forecast } from '../hatch/contract.ts'
import { Stage } from '../hatch/contract.ts'
import { pressureAtAltitude } from '../hatch/oxygen/air-pressure.ts'
import { oxygenLeft } from '../hatch/oxygen/minutes-left.ts'
import { Quality } from '../intake/reading.ts'
import type { RulesSettings, VesselFacts } from '../rules/contract.ts'
import { emptyMemory, type VesselMemory } from '../rules/memory.ts'
import { silentAfter } from '../rules/pace.ts'
import { setBackMemory } from '../rules/set-back.ts'
import type { AssignmentRow, BatchRow, Role, Sample, VesselRow } from '../store/contract.ts'
import type { BatchForecast } from './batch-forecast.ts'
import type { BatchForecastView, VesselView } from './views.ts'
import { eachRole, ROLES } from './roles.ts'
import { AirWatch } from './watch/air-watch.ts'
import { DarkWatch } from './watch/dark-watch.ts'
import { LampWatch } from './watch/lamp-watch.ts'
import { LevelWatch } from './watch/level-watch.ts'
import { ThermalWatch } from './watch/thermal-watch.ts'
import type { Backlog } from './watch-log.ts'

/** A reading older than this when it arrives is backlog: screens are told of the span, not of each value. */
export const BACKLOG_MS = 60_000
/** One that comes within this is of now: its device has no backlog any more. */
const CAUGHT_UP_MS = 5_000

/** One vessel as it is now. */
export class VesselLive {
  #row: VesselRow
  #channels: Record<Role, AssignmentRow | null> = eachRole(() => null)
  latest: Record<Role, Sample | null> = eachRole(() => null)
  #batch: BatchRow | null = null
  #forecast: BatchForecastView | null = null
  /** Asked at every reading, so remembered; forgotten when anything in it changes. */
  #facts: VesselFacts | null = null
  #factsAltitudeM = 0
  memory: VesselMemory
  /** The memory as it was last handed to the store. */
  memoryKept: VesselMemory

  /** The open batch's development; `null` without a batch. */
  development: BatchForecast | null = null
  /** The clock's time of the newest forecast. */
  forecastAtMs = 0
  /** Set while the development is being read anew from the store: what arrives meanwhile, to be taken in after it. */
  arrivedMeanwhile: Sample[] | null = null
  /** Readings came that belong before the newest one: the development must be read anew. */
  outOfOrder = false
  /** The span of a backlog that came in and that nobody has been told of yet. */
  backfilled: { fromMs: number; toMs: number } | null = null
  /** The same by role, for the log of the watch. */
  readonly backlogs = new Map<Role, Backlog>()
  readonly #catchingUp = new Set<Role>()

  /** What is followed of the readings so that the rules can tell where they lead. */
  #thermal: ThermalWatch
  #air = new AirWatch()
  #dark = new DarkWatch()
  #level = new LevelWatch()
  #lamp = new LampWatch()

  constructor(row: VesselRow) {
    this.#row = row
    this.#thermal = new ThermalWatch(row.litres)
    this.memory = emptyMemory(row.id)
    this.memoryKept = this.memory
  }

  get row(): VesselRow {
    return this.#row
  }
  set row(row: VesselRow) {
    this.#row = row
    this.#refill()
  }

  get batch(): BatchRow | null {
    return this.#batch
  }
  set batch(batch: BatchRow | null) {
    this.#batch = batch
    this.levelAnew()
    this.#refill()
  }

  get forecast(): BatchForecastView | null {
    return this.#forecast
  }
  set forecast(forecast: BatchForecastView | null) {
    this.#forecast = forecast
    this.#facts = null
  }

  get channels(): Readonly<Record<Role, AssignmentRow | null>> {
    return this.#channels
  }

  assign(role: Role, row: AssignmentRow | null): void {
    this.#channels = { ...this.#channels, [role]: row }
    this.forget(role)
  }

  /** Another sensor reads otherwise: what was followed of the one before says nothing of it. */
  forget(role: Role): void {
    if (role === 'water') this.#thermal = new ThermalWatch(this.#thermal.litres)
    if (role === 'air') this.#air = new AirWatch()
    if (role === 'level') {
      this.#level = new LevelWatch()
      this.levelAnew()
    }
    if (role === 'light') this.#lamp = new LampWatch()
    this.#facts = null
  }

  /** Follows a reading that is the newest of its role. */
  follow(role: Role, { atMs, value, quality }: Sample, rules: RulesSettings): void {
    if (quality !== Quality.good || value === null) return
    let changed = false
    if (role === 'water') {
      this.#thermal.take(atMs, value)
      changed = this.#dark.takeWater(atMs, value)
    } else if (role === 'air') changed = this.#air.take(atMs, value)
    else if (role === 'light') {
      const { limit, deadband } = rules['light-out']
      changed = this.#dark.takeLight(atMs, value, limit, deadband)
      this.#lamp.take(atMs, value)
    } else if (role === 'level') changed = this.#level.take(atMs, value)
    if (changed) this.#facts = null
  }

  /** What was drawn off or filled in on purpose is what it is: the level is held against it from then on. */
  levelAnew(): void {
    this.#level.anew(this.#batch?.startedAtMs ?? NaN)
    this.#level.anew(this.memory.clocks.levelFromMs)
    this.#facts = null
  }

  #naupliiElsewhere = false
  /** Whether another vessel whose air is watched has nauplii. */
  set naupliiElsewhere(is: boolean) {
    if (is !== this.#naupliiElsewhere) this.#facts = null
    this.#naupliiElsewhere = is
  }

  /** Looks where the water is going, twice a minute at most. */
  look(hotC: number, nowMs: number, coolC = hotC): void {
    const { brightening } = this.#lamp
    const { heats } = this.#dark
    const room = this.latest.room
    const roomC = room?.quality === Quality.good ? room.value : null
    const lamp = brightening !== null && heats !== false ? { ...brightening, roomC, heats } : null
    if (this.#thermal.look(hotC, nowMs, lamp, coolC)) this.#facts = null
  }

  /** What of {@link lampHeats} was last handed to the store. */
  lampHeatsKept: boolean | null = null

  /** Whether the lamp is the heater, as was seen; `null` while it was not. */
  get lampHeats(): boolean | null {
    return this.#dark.heats
  }
  set lampHeats(heats: boolean | null) {
    this.#dark.heats = heats
    this.#facts = null
  }

  /** The clock was set back by `byMs`, below 0. What is followed of the readings begins anew, for it has gaps that never were. */
  setBack(byMs: number): void {
    this.memory = setBackMemory(this.memory, byMs)
    for (const role of ROLES) {
      const sample = this.latest[role]
      this.latest[role] = sample && { ...sample, atMs: sample.atMs + byMs }
      this.forget(role)
    }
    const { heats } = this.#dark
    this.#dark = new DarkWatch()
    this.lampHeats = heats
    this.forecastAtMs = 0
  }

  /** Another volume answers otherwise to its heater. */
  #refill(): void {
    this.#facts = null
    const litres = this.#batch?.litres ?? this.#row.litres
    if (litres !== this.#thermal.litres) this.#thermal = new ThermalWatch(litres)
  }

  /** `altitudeM` is the room's, above the sea. */
  facts(altitudeM = 0): VesselFacts {
    if (altitudeM !== this.#factsAltitudeM) this.#facts = null
    this.#factsAltitudeM = altitudeM
    return (this.#facts ??= this.#factsNow(altitudeM))
  }

  #factsNow(altitudeM: number): VesselFacts {
    const litres = this.batch?.litres ?? this.row.litres
    const heading = this.#thermal.heading
    const air = this.#air.course(litres)
    const { dark, heats } = this.#dark
    const level = this.#level.course
    const uncertainty = this.channels.water?.uncertainty
    return {
      vesselId: this.row.id,
      name: this.row.name,
      litres,
      ...(heading && { heading }),
      ...(air && { air }),
      ...(level && { level }),
      ...(dark && { dark }),
      ...(heats !== null && { lampHeats: heats }),
      ...(this.#naupliiElsewhere && { naupliiElsewhere: true }),
      ...(uncertainty !== undefined && { probeUncertaintyC: uncertainty }),
      batch: this.batch && {
        startedAtMs: this.batch.startedAtMs,
        stage: this.forecast?.stage ?? Stage.soaking,
        ...oxygenFact(this.batch, this.forecast, this.latest.water, altitudeM),
        ...harvestFacts(this.forecast, this.development?.harvested ?? false),
      },
      assigned: {
        water: this.channels.water !== null,
        air: this.channels.air !== null,
        light: this.channels.light !== null,
        level: this.channels.level !== null,
      },
    }
  }

  view(): VesselView {
    return {
      row: this.row,
      channels: this.channels,
      latest: { ...this.latest },
      batch: this.batch,
      forecast: this.forecast,
      hush: this.memory.hush,
      ...silentAfterOf(this.memory),
    }
  }

  noteBackfill(atMs: number): void {
    this.backfilled = widened(this.backfilled, atMs)
  }

  /** Notes for the log of the watch what came late: from the first reading that is a backlog until its device has caught up. */
  noteLate(role: Role, atMs: number, receivedAtMs: number): void {
    const lateMs = receivedAtMs - atMs
    if (lateMs <= CAUGHT_UP_MS && this.#catchingUp.delete(role)) return
    if (lateMs > BACKLOG_MS) this.#catchingUp.add(role)
    if (!this.#catchingUp.has(role)) return
    const span = widened(this.backlogs.get(role) ?? null, atMs)
    this.backlogs.set(role, { role, ...span, receivedAtMs })
  }
}

function widened(span: { fromMs: number; toMs: number } | null, atMs: number) {
  return { fromMs: Math.min(span?.fromMs ?? atMs, atMs), toMs: Math.max(span?.toMs ?? atMs, atMs) }
}

/** What the water costs in time, and how long the harvest has been over. */
function harvestFacts(forecast: BatchForecastView | null, harvested: boolean) {
  if (forecast === null) return {}
  const { atMs, harvest, why, reachesHatch, expectedWater } = forecast
  // What lies behind, the water has made good or not: only the cold that lasts can still be ended.
  const cool = why.filter(({ kind, sinceMs }) => kind === 'cooler' && sinceMs !== null)
  return {
    ...(reachesHatch ? { coolCostMs: cool.reduce((sum, { laterMs }) => sum + laterMs, 0) } : {}),
    expectedC: expectedWater.p50,
    pastHarvestMs: harvested || !reachesHatch ? 0 : Math.max(0, atMs - harvest.untilMs),
  }
}

const NONE_OUT = { p10: 0, p50: 0, p90: 0 }

/** Less than this any screen bears with, ms. */
const SELDOM_MS = 60_000
function silentAfterOf({ clocks: { pace } }: VesselMemory): Pick<VesselView, 'silentAfterMs'> {
  const seldom = (['water', 'air', 'light', 'level'] as const)
    .map(role => [role, silentAfter(pace[role])] as const)
    .filter(([, ms]) => ms > SELDOM_MS)
  return seldom.length === 0 ? {} : { silentAfterMs: Object.fromEntries(seldom) }
}

/** How long the batch's oxygen lasts without air, in the water as it was measured, else as it is expected. */
function oxygenFact(
  batch: BatchRow,
  forecast: BatchForecastView | null,
  water: Sample | null,
  altitudeM: number,
) {
  const measuredC = water?.quality === Quality.good ? water.value : null
  const waterC = measuredC ?? forecast?.expectedWater.p50
  if (waterC === undefined) return {}
  const cystsGpl = batch.cystsG / batch.litres
  const known = forecast ? { hatched: outOfShell(forecast), naupliiPerG: forecast.naupliiPerG } : null
  return {
    oxygen: oxygenLeft({
      cystsGpl,
      waterC,
      salinityGpl: batch.salinityGpl,
      pressureKpa: pressureAtAltitude(altitudeM),
      ...(known ?? { hatched: NONE_OUT }),
    }),
  }
}

/** Share that has left the shell. What is still in its membrane is counted as a nauplius: no source says how much less it takes. */
function outOfShell({ hatchedNow, stages: { umbrella } }: Forecast): Band {
  return {
    p10: Math.min(hatchedNow.p10 + umbrella.p10, 1),
    p50: Math.min(hatchedNow.p50 + umbrella.p50, 1),
    p90: Math.min(hatchedNow.p90 + umbrella.p90, 1),
  }
}
