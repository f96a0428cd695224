import type { Turn } from './hardware/course.ts'
import type { ProbeFault } from './hardware/temperature-probe.ts'
import type { RoomSetting } from './physics/room.ts'

/** From one hour to another, since the cysts were poured in. */
export interface Span {
  readonly fromH: number
  readonly toH: number
}

/** One vessel's story: what it is, and what happens to it when. All hours count from the pouring in of the cysts. */
export interface Scenario {
  readonly name: string
  /** What happens and when, for a person. */
  readonly words: string
  readonly litres: number
  readonly salinityGpl: number
  /** Grams of dry cysts per litre. */
  readonly cystsGpl: number
  /** Water as filled, °C. */
  readonly startC: number
  readonly room: RoomSetting
  /** The lamp was placed so that it holds this temperature in the room's mean, °C. It is the only heater. */
  readonly lampHoldsC: number
  /** Light of the lamp at the water's surface, lx. */
  readonly lampLx: number
  /** Air, litres a minute per litre of water. */
  readonly airVvm: number
  /** What the lamp gives, as a share of what it gave when it was placed. 0 is dead, 2 is nearer or a stuck dimmer. */
  readonly lamp: readonly Turn[]
  /** Whether the device has a relay in the lamp's line that the broker can open. */
  readonly lampRelay: boolean
  /** What the pump gives, as a share of its start. */
  readonly pump: readonly Turn[]
  /** The room's mean, °C, moved by heating and weather. */
  readonly roomMean: readonly Turn[]
  readonly probe: readonly (Span & { readonly fault: ProbeFault })[]
  /** Acidity of the water, pH. */
  readonly pH: number
  /** What shade leaves of the lamp's light, as a share; its heat comes through. */
  readonly shade: readonly Turn[]
  /** Share of the air that leaves the tube down in the tip of the cone; the rest bubbles up from where the tube hangs too high. */
  readonly deepAir: readonly Turn[]
  /** Water that runs out at the outlet, or that an air line draws off. What is alive goes with it. */
  readonly leaks: readonly (Span & { readonly litresPerH: number })[]
  /** Whether a sensor tells how high the water stands. */
  readonly levelSensor: boolean
  /** A second probe hangs near the surface. */
  readonly upperProbe?: boolean
  /** When the device cannot reach the broker. */
  readonly networkOut: readonly Span[]
}

/** A plain good batch: what every story starts from. The room is a room, so even here a door is opened now and then. */
export const PLAIN: Scenario = {
  name: 'healthy',
  words: 'Nothing goes wrong: 27.2 °C, plenty of air, light all the time.',
  litres: 1,
  salinityGpl: 25,
  cystsGpl: 2,
  startC: 26.6,
  room: { meanC: 22, swingC: 0.8, draughtsPerDay: 4, startHour: 9, humidity: 0.5 },
  lampHoldsC: 27.2,
  lampLx: 3000,
  airVvm: 0.5,
  lamp: [],
  lampRelay: false,
  pump: [],
  roomMean: [],
  probe: [],
  pH: 8.2,
  shade: [],
  deepAir: [],
  leaks: [],
  levelSensor: false,
  networkOut: [],
}
