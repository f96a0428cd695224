import { drawLot, type CystLot } from '../../sim/biology/lot.ts'
import { seededRandom, type Random } from '../../sim/random.ts'
import { between } from '../alarms/draw.ts'
import { put, type Fault, type Strength } from '../blame/faults.ts'
import { harvestOf } from '../blame/season.ts'
import { HOUR_MS, playSetting, type Played } from '../blame/played.ts'
import { drawSetting, type Setting } from '../blame/setting.ts'

/** The invented season of the demo: who had what in which vessel, and what befell it. All of it is drawn from one seed. */

export const SEED = 7
export const DAYS = 15
/** A midnight; the demo moves all of it to end before its own day begins. */
export const ANCHOR_MS = Date.UTC(2026, 0, 31)

export const VESSELS = [
  { name: 'Invented cone A', litres: 1, device: 'invented-a' },
  { name: 'Invented cone B', litres: 2, device: 'invented-b' },
  { name: 'Invented cone C', litres: 2, device: 'invented-c' },
  { name: 'Invented cone D', litres: 5, device: 'invented-d' },
] as const

/** Sound, quick, middling, and one that was kept too warm for too long: each is worse than the last of it in the end. */
export const LOTS = [
  {
    name: 'Invented lot 1',
    viable: 0.82,
    grams: 100,
    keptIn: 'freezer',
    note: 'Invented for the demo: a sound one.',
  },
  { name: 'Invented lot 2', viable: 0.74, grams: 50, keptIn: 'refrigerator', note: 'Invented for the demo.' },
  {
    name: 'Invented lot 3',
    viable: 0.58,
    grams: 50,
    keptIn: 'refrigerator',
    note: 'Invented for the demo: it lost over the weeks.',
  },
] as const

const WELL: [Fault, Strength][] = []
/** What is put into the batches, in the order of their starts; most are well, as in a room that is kept with care. */
export const STORIES: readonly (readonly [Fault, Strength][])[] = [
  WELL,
  WELL,
  [['dark-at-first', 2]],
  WELL,
  WELL,
  [['too-hot', 3]],
  WELL,
  WELL,
  [['harvested-late', 2]],
  WELL,
  [['too-cool', 2]],
  WELL,
  WELL,
  [['air-lost', 2]],
  WELL,
  WELL,
  [['probe-out-of-water', 2]],
  WELL,
  [['too-dense', 3]],
  WELL,
  WELL,
  [['salinity-off', 2]],
  WELL,
  WELL,
  [['readings-missing', 2]],
  WELL,
  [['harvested-early', 2]],
  WELL,
  [['ph-off', 2]],
  WELL,
  WELL,
  [
    ['too-cool', 1],
    ['too-dense', 2],
  ],
  WELL,
  [['weak-lot', 2]],
  WELL,
  WELL,
  [['probe-wrong', 3]],
  WELL,
  [['weak-lot', 3]],
  [
    ['air-lost', 3],
    ['dark-at-first', 1],
  ],
]

export interface PlannedBatch {
  readonly vessel: number
  readonly lot: string
  readonly played: Played
  readonly harvestH: number
  readonly random: Random
}

/** The batches in the order of their starts. */
export function planSeason(seed: number, stories = STORIES): PlannedBatch[] {
  const random = seededRandom(seed)
  const lots = LOTS.map(({ name, viable }) => ({
    name,
    cysts: { ...drawLot(random.fork(name)), viableShare: viable } satisfies CystLot,
  }))
  /** When each vessel is free again, in hours of the season. */
  const free = VESSELS.map((_, at) => 8 + at * 7)
  return stories.map((story, at) => {
    const vessel = free.indexOf(Math.min(...free))
    const own = random.fork(`batch ${at}`)
    const startedAtH = awake(free[vessel]! + between(own, 1.5, 5), own)
    const startedAtMs = ANCHOR_MS - DAYS * 24 * HOUR_MS + Math.round((startedAtH * HOUR_MS) / 60_000) * 60_000
    const lot = lots[Math.min(lots.length - 1, Math.floor((at / stories.length) * lots.length))]!
    // What is kept in a warm room loses a little with each week.
    const cysts =
      lot.name === LOTS[2].name
        ? { ...lot.cysts, viableShare: lot.cysts.viableShare * (1 - 0.012 * (at - (2 * stories.length) / 3)) }
        : lot.cysts
    const { played, harvestH } = play(story, cysts, vessel, startedAtMs, startedAtH % 24, own)
    free[vessel] = startedAtH + harvestH
    return { vessel, lot: lot.name, played, harvestH, random: own.fork('keeper') }
  })
}

/** Nobody starts a batch at night. */
function awake(atH: number, random: Random): number {
  const hour = atH % 24
  if (hour >= 7 && hour <= 22) return atH
  return atH - hour + (hour > 22 ? 24 : 0) + between(random, 7, 9)
}

function play(
  story: readonly (readonly [Fault, Strength])[],
  lot: CystLot,
  vessel: number,
  startedAtMs: number,
  startHour: number,
  random: Random,
) {
  const drawn = drawSetting(random.fork('setting'))
  const { litres } = VESSELS[vessel]!
  const well: Setting = {
    ...drawn,
    lot,
    stoodH: 0,
    silent: null,
    checksWater: true,
    hasUpperProbe: false,
    countsEmbryos: true,
    notesFirst: 0.9,
    // In one room: what scatters between batches is the season's, not each time another house.
    scenario: {
      ...drawn.scenario,
      litres,
      levelSensor: false,
      salinityGpl: between(random, 24, 28),
      cystsGpl: between(random, 1.6, 2.4),
      room: { meanC: 20.5, swingC: 0.7, draughtsPerDay: 3, humidity: 0.5, startHour },
    },
  }
  const seed = Math.floor(random.uniform() * 2 ** 31)
  const wellPlayed = playSetting(well, startedAtMs, seed)
  if (story.length === 0) return { played: wellPlayed, harvestH: harvestOf(wellPlayed, wellPlayed) }
  const setting = story.reduce<Setting>(
    (setting, [fault, strength]) =>
      put(fault, strength, setting, wellPlayed.bestH, random.fork(fault)).setting,
    well,
  )
  const played = playSetting({ ...setting, hasUpperProbe: false }, startedAtMs, seed)
  return { played, harvestH: Math.min(harvestOf(played, wellPlayed), 60) }
}
