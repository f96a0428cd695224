import { PLAIN, type Scenario } from '../scenario.ts'
import { World } from '../world.ts'

/** Every name in this file is invented: cones, devices and lots of a fish room that does not exist. */
export interface DemoVessel {
  readonly name: string
  /** The device that watches it, and the prefix of its channels there. */
  readonly device: string
  readonly prefix: string
  readonly lot: string
  /** Hours since the cysts were poured in, when the demo begins. */
  readonly ageH: number
  readonly seed: number
  readonly scenario: Scenario
  /** What a person will see of it. */
  readonly words: string
}

/** How long after the demo has begun things happen, in the world's hours. */
export interface DemoTimes {
  readonly tooHotH: number
  readonly pumpFadesH: number
  readonly airLostH: number
}

/** Two minutes, a quarter and three quarters of an hour for whoever watches; but the stories last only so long. */
export function demoTimes(speed: number): DemoTimes {
  return {
    tooHotH: Math.min(2, (2 / 60) * speed),
    pumpFadesH: Math.min(2, 0.25 * speed),
    airLostH: Math.min(4, 0.75 * speed),
  }
}

/** The device that belongs to no vessel yet. */
export const SPARE_DEVICE = 'spare-1'

/** It lies on the bench: no water, no lamp, no air. */
export const SPARE_SCENARIO: Scenario = {
  ...PLAIN,
  name: 'spare',
  words: 'A device on the bench that nobody has assigned yet.',
  startC: 22,
  cystsGpl: 0,
  lampHoldsC: 22,
  lampLx: 0,
  airVvm: 0,
}

/** @param hourOfDay when the demo begins, 0 to 24, so that day and night in the room are the watcher's */
export function demoCast(times: DemoTimes, hourOfDay: number): DemoVessel[] {
  const story = (ageH: number, change: Partial<Scenario>): Scenario => ({
    ...PLAIN,
    ...change,
    room: { ...PLAIN.room, startHour: (((hourOfDay - ageH) % 24) + 24) % 24 },
  })
  const fadesAtH = 18.6 + times.pumpFadesH
  const hot = story(13, { name: 'lamp-runaway', lampHoldsC: 27.3 })
  return [
    {
      name: 'Cone 1 window',
      device: 'window-1',
      prefix: '',
      lot: 'Lot A',
      ageH: 0.5,
      seed: 11,
      scenario: story(0.5, { lampHoldsC: 27.2 }),
      words: 'poured in half an hour ago, the cysts are soaking',
    },
    {
      name: 'Cone 2 window',
      device: 'window-2',
      prefix: '',
      lot: 'Lot A',
      ageH: 9,
      seed: 12,
      scenario: story(9, { litres: 1.5, lampHoldsC: 26.9 }),
      words: 'in its ninth hour, nothing has hatched yet',
    },
    {
      name: 'Cone 3 shelf',
      device: 'shelf-1',
      prefix: '1/',
      lot: 'Lot B',
      ageH: 17.5,
      seed: 13,
      scenario: story(17.5, { litres: 2, lampHoldsC: 27.1 }),
      words: 'hatching now',
    },
    {
      name: 'Cone 4 shelf',
      device: 'shelf-1',
      prefix: '2/',
      lot: 'Lot B',
      ageH: 23.5,
      seed: 14,
      scenario: story(23.5, { litres: 2, lampHoldsC: 27.2 }),
      words: 'in its harvest window',
    },
    {
      name: 'Cone 5 corner',
      device: 'corner-1',
      prefix: '',
      lot: 'Lot A',
      ageH: 13,
      seed: 15,
      scenario: { ...hot, lamp: [{ atH: lampTurnsAtH(hot, 15, 13 + times.tooHotH), to: 2.5 }] },
      words: 'going wrong: its lamp runs away',
    },
    {
      name: 'Cone 6 low shelf',
      device: 'low-1',
      prefix: '',
      lot: 'Lot C',
      ageH: 18.6,
      seed: 16,
      scenario: story(18.6, {
        name: 'pump-fading',
        cystsGpl: 3,
        upperProbe: true,
        pump: [{ atH: fadesAtH, to: 0.05, overH: Math.max(0.1, (times.airLostH - times.pumpFadesH) * 1.05) }],
      }),
      words: 'perhaps ready to harvest; its air pump will fade, and a second probe hangs near its surface',
    },
  ]
}

const TOO_HOT_C = 29.4
const STEP_S = 30

/** The hour at which this lamp must run away for the water to pass 29.4 °C at `hotAtH`: tried out in virtual time. */
function lampTurnsAtH(scenario: Scenario, seed: number, hotAtH: number): number {
  let leadH = 0.3
  for (let round = 0; round < 4; round++) {
    const turnsAtH = hotAtH - leadH
    const world = new World({ ...scenario, lamp: [{ atH: turnsAtH, to: 2.5 }] }, { seed, probeOffsetC: 0 })
    while (world.water.bottomC < TOO_HOT_C && world.hours < hotAtH + 3) world.step(STEP_S)
    leadH = world.hours - turnsAtH
  }
  return hotAtH - leadH
}
