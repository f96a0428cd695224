import {
  drawLot,
  CALIBRATED_LOT,
  crowdingShare,
  pHShare,
  salinityShare,
  type CystLot,
} from './biology/lot.ts'
import { Population } from './biology/population.ts'
import { cystDemandMgph, naupliusDemandMgph } from './biology/respiration.ts'
import { AirFlowSensor } from './hardware/air-flow-sensor.ts'
import { courseAt } from './hardware/course.ts'
import { LevelSensor } from './hardware/level-sensor.ts'
import { LightSensor } from './hardware/light-sensor.ts'
import { ProbeFault, TemperatureProbe } from './hardware/temperature-probe.ts'
import { evaporationGps } from './physics/evaporation.ts'
import { RoomAir } from './physics/room.ts'
import { lossWpC, TOP_SHARE, VesselWater } from './physics/vessel.ts'
import { LATENT_HEAT_JPG } from './physics/water.ts'
import { seededRandom, type Random } from './random.ts'
import type { Scenario, Span } from './scenario.ts'
import type { Truth } from './truth.ts'

/** How many cysts are followed one by one. */
const SAMPLE = 400
/** Time in which cysts have sunk to two thirds where nothing stirs, s; and the flow that keeps all afloat. Assumed. */
const SINKING_S = 300
const SUSPENDS_VVM = 0.06

/** The water probe hangs so high, as a share of the full vessel. Assumed. */
const PROBE_AT = 0.25

/** What the sensors of one vessel say at one moment. */
export interface Measured {
  readonly waterC: number
  readonly roomC: number
  readonly airLpm: number
  readonly lightLx: number
  /** Share of the full vessel; `null` where no sensor tells. */
  readonly levelShare: number | null
}

export interface WorldOptions {
  readonly seed: number
  /** `drawn` takes a lot never seen before, by the seed; the calibrated one otherwise. */
  readonly lot?: CystLot | 'drawn'
  /** Error of the water probe, °C; drawn within ±0.2 when left out. */
  readonly probeOffsetC?: number
}

/** One vessel, its room, its animals and its hardware, moved on by an explicit clock. It knows no network. */
export class World {
  readonly scenario: Scenario
  readonly lot: CystLot
  readonly water: VesselWater
  readonly population: Population
  #random: Random
  #room: RoomAir
  #probe: TemperatureProbe
  #roomProbe: TemperatureProbe
  #upperProbe: TemperatureProbe
  #airSensor: AirFlowSensor
  #lightSensor: LightSensor
  #levelSensor: LevelSensor
  #lampW: number
  /** The relay in the lamp's line: open, the lamp gives nothing. */
  lampRelayOpen = false
  #seconds = 0
  #sunk = 0

  constructor(scenario: Scenario, options: WorldOptions) {
    this.scenario = scenario
    this.#random = seededRandom(options.seed)
    const { litres, salinityGpl, startC, cystsGpl, pH } = scenario
    this.lot = options.lot === 'drawn' ? drawLot(this.#random.fork('lot')) : (options.lot ?? CALIBRATED_LOT)
    this.water = new VesselWater({ litres, salinityGpl, startC })
    this.#room = new RoomAir(scenario.room, this.#random.fork('room'))
    this.population = new Population(
      {
        lot: this.lot,
        conditionShare: salinityShare(salinityGpl) * crowdingShare(cystsGpl) * pHShare(pH),
        sample: SAMPLE,
      },
      this.#random.fork('cysts'),
    )
    const offsets = this.#random.fork('offsets')
    const offsetC = options.probeOffsetC ?? 0.4 * (offsets.uniform() - 0.5)
    this.#probe = new TemperatureProbe({ offsetC }, startC, this.#random.fork('probe'))
    this.#roomProbe = new TemperatureProbe(
      { offsetC: 0.4 * (offsets.uniform() - 0.5) },
      scenario.room.meanC,
      this.#random.fork('room probe'),
    )
    this.#upperProbe = new TemperatureProbe(
      { offsetC: 0.4 * (this.#random.fork('upper offset').uniform() - 0.5) },
      startC,
      this.#random.fork('upper probe'),
    )
    this.#airSensor = new AirFlowSensor(this.#random.fork('air'))
    this.#lightSensor = new LightSensor(this.#random.fork('light'))
    this.#levelSensor = new LevelSensor(this.#random.fork('level'))
    this.#lampW = lampPlacedFor(scenario)
  }

  /** Hours since the cysts were poured in. */
  get hours(): number {
    return this.#seconds / 3600
  }

  get airLpm(): number {
    const { airVvm, litres, pump } = this.scenario
    return airVvm * litres * courseAt(1, pump, this.hours)
  }

  get networkUp(): boolean {
    return !this.scenario.networkOut.some(span => within(span, this.hours))
  }

  step(stepS: number): void {
    if (!(stepS > 0)) throw new RangeError(`Cannot step the world: seconds must be above 0, got ${stepS}`)
    const { scenario, water } = this
    const h = this.hours
    this.#room.step(stepS, courseAt(scenario.room.meanC, scenario.roomMean, h))
    const airLpm = this.airLpm
    const lamp = this.#lampShare
    this.#leak(stepS)
    const deepAirLpm = airLpm * this.#deepShare
    this.#settle(stepS, deepAirLpm / water.litres)
    const demand = this.#demand()
    water.step(stepS, {
      roomC: this.#room.airC,
      humidity: this.#room.humidity,
      lampW: this.#lampW * lamp,
      airLpm,
      deepAirLpm,
      ...demand,
    })
    const lightLx = this.#lightLx
    this.population.step(stepS, this.#around(this.#cystTopShare), this.#around(TOP_SHARE), lightLx)
    this.#seconds += stepS
    const fault = scenario.probe.find(span => within(span, this.hours))?.fault
    const hangsFree = water.fullShare < PROBE_AT ? ProbeFault.outOfWater : ProbeFault.none
    this.#probe.fault = fault ?? hangsFree
    // The probe hangs in the lower part, near the outlet.
    this.#probe.step(stepS, water.bottomC, this.#room.airC)
    this.#upperProbe.step(stepS, water.topC, this.#room.airC)
    this.#roomProbe.step(stepS, this.#room.airC, this.#room.airC)
  }

  /** One reading of every sensor. Sensors scatter: two readings of one moment differ. */
  measure(): Measured {
    return {
      waterC: this.#probe.read(),
      roomC: this.#roomProbe.read(),
      airLpm: this.#airSensor.read(this.airLpm),
      lightLx: this.#lightSensor.read(this.#lightLx),
      levelShare: this.scenario.levelSensor
        ? this.#levelSensor.read(this.water.fullShare, this.airLpm > 0)
        : null,
    }
  }

  /** A second probe near the surface, where there is one: °C. */
  measureUpper(): number {
    return this.#upperProbe.read()
  }

  /** What no sensor tells. */
  truth(): Truth {
    const { water, population } = this
    const census = population.census()
    return {
      hours: this.hours,
      topC: water.topC,
      bottomC: water.bottomC,
      roomC: this.#room.airC,
      lightLx: this.#lightLx,
      airLpm: this.airLpm,
      topOxygenMgpl: water.topOxygenMgpl,
      bottomOxygenMgpl: water.bottomOxygenMgpl,
      salinityGpl: water.salinityGpl,
      litres: water.litres,
      networkUp: this.networkUp,
      lampRelayOpen: this.lampRelayOpen,
      hatchedShare: census.hatchedEver / census.sample,
      deadShare: (census.deadOfHeat + census.deadOfOxygen + census.starved) / census.sample,
      census,
      t10H: population.hatchHour(0.1),
      t90H: population.hatchHour(0.9),
    }
  }

  get #lightLx(): number {
    const shade = courseAt(1, this.scenario.shade, this.hours)
    return this.scenario.lampLx * this.#lampShare * shade + this.#room.daylightLx
  }

  get #deepShare(): number {
    return courseAt(1, this.scenario.deepAir, this.hours)
  }

  /** Of what it gave when it was placed. */
  get #lampShare(): number {
    return this.lampRelayOpen ? 0 : courseAt(1, this.scenario.lamp, this.hours)
  }

  #leak(stepS: number): void {
    for (const leak of this.scenario.leaks)
      if (within(leak, this.hours)) this.water.drain((leak.litresPerH * stepS) / 3600)
  }

  #settle(stepS: number, vvm: number): void {
    const to = vvm >= SUSPENDS_VVM ? 0 : 1 - vvm / SUSPENDS_VVM
    this.#sunk = to + (this.#sunk - to) * Math.exp(-stepS / (to > this.#sunk ? SINKING_S : 20))
  }

  get #cystTopShare(): number {
    return TOP_SHARE * (1 - this.#sunk)
  }

  #around(topShare: number) {
    const { topC, bottomC, topOxygenMgpl, bottomOxygenMgpl } = this.water
    return {
      waterC: topC * topShare + bottomC * (1 - topShare),
      oxygenMgpl: topOxygenMgpl * topShare + bottomOxygenMgpl * (1 - topShare),
    }
  }

  #demand() {
    const { scenario, lot, water, population } = this
    const gramsEach = (water.keptShare * scenario.cystsGpl * scenario.litres) / population.size
    const cysts = cystDemandMgph(population.breathingCysts * gramsEach, water.meanC)
    const nauplii = naupliusDemandMgph(population.breathingNauplii * gramsEach * lot.cystsPerG, water.meanC)
    const top = this.#cystTopShare
    return {
      topDemandMgph: cysts * top + nauplii * TOP_SHARE,
      bottomDemandMgph: cysts * (1 - top) + nauplii * (1 - TOP_SHARE),
    }
  }
}

function within({ fromH, toH }: Span, hours: number): boolean {
  return hours >= fromH && hours < toH
}

/** Heat that a lamp must give so that the vessel stays at `lampHoldsC` in the room's mean, W. */
function lampPlacedFor({ lampHoldsC, room, litres, airVvm }: Scenario): number {
  const evaporation =
    LATENT_HEAT_JPG * evaporationGps(lampHoldsC, room.meanC, room.humidity, airVvm * litres, litres)
  return Math.max(0, lossWpC(litres) * (lampHoldsC - room.meanC) + evaporation)
}
