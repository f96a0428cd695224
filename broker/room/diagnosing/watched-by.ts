import type { CauseKind } from '../../diagnosis/contract.ts'
import { RuleName } from '../../rules/alarm.ts'
import type { Role } from '../../store/contract.ts'

/** Who could have called for what spoils a batch. */
export interface WatchedBy {
  /** The rules that watch for it; empty where none can. */
  readonly rules: readonly RuleName[]
  /** What must be measured for them. */
  readonly role: Role | null
  /** Where nothing that is measured tells it in time: what would. */
  readonly instead: string
}

const R = RuleName
const LIGHT = 'A light sensor beside the vessel would have.'
const AIR = 'A flow sensor in the air line would have.'
const WATER = 'A probe in the water would have.'

const WATCHED: Readonly<Record<CauseKind, WatchedBy>> = {
  'too-hot': { rules: [R.waterHeadingHot, R.waterTooHot], role: 'water', instead: WATER },
  'too-cool': { rules: [R.waterTooCool, R.lightOut], role: 'water', instead: WATER },
  'air-lost': { rules: [R.airLost, R.airFading, R.waterLevel], role: 'air', instead: AIR },
  'dark-at-first': { rules: [R.lightOut], role: 'light', instead: LIGHT },
  stratified: { rules: [R.airLost, R.airFading], role: 'air', instead: AIR },
  'harvested-late': { rules: [R.harvestMissed], role: null, instead: '' },
  'probe-wrong': {
    rules: [R.probeFault],
    role: 'water',
    instead: 'A second thermometer, now and then, would have.',
  },
  'probe-out-of-water': { rules: [R.probeOutOfWater], role: 'water', instead: WATER },
  'readings-missing': { rules: [R.deviceSilent, R.powerLost, R.probeFault], role: null, instead: '' },
  'too-dense': {
    rules: [],
    role: null,
    instead: 'A scale would have, before the cysts went in: the recipe tells how much the vessel bears.',
  },
  'salinity-off': { rules: [], role: null, instead: 'A refractometer would have, before the cysts went in.' },
  'ph-off': { rules: [], role: null, instead: 'A pH strip would have, before the cysts went in.' },
  'weak-lot': {
    rules: [],
    role: null,
    instead: 'A small hatch of the lot, counted before a feeding hangs on it, would have.',
  },
  'harvested-early': {
    rules: [],
    role: null,
    instead: 'No alarm tells of a harvest that comes too soon; the harvest window on the vessel’s page does.',
  },
}

export const watchedBy = (kind: CauseKind): WatchedBy => WATCHED[kind]
