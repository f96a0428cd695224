import type { Diagnosis } from '../../broker/diagnosis/contract.ts'
import { diagnose } from '../../broker/diagnosis/diagnose.ts'
import { seededRandom } from '../../sim/random.ts'
import { between, oneOf } from '../alarms/draw.ts'
import { put } from './faults.ts'
import { hiddenAt, playSetting } from './played.ts'
import { BEGINS_MS, harvestOf, historyOf, inputOf, MATTERS_SHARE, seedOf } from './season.ts'
import { drawSetting, type Setting } from './setting.ts'

/** Batches whose cause nobody measured, beside such whose lot is to blame and looks the same. */
export const UNSEEN = {
  'heat-in-gap': 'heat while nothing was measured',
  'weak-in-gap': 'a weak lot, and a gap as long',
  'not-measured': 'salt or pH off, unmeasured',
  weak: 'a weak lot, all measured',
  'turned-weak': 'a lot that has turned weak since it was counted',
} as const
export type Unseen = keyof typeof UNSEEN

/** How well the lot was known: counted so often before. */
export const KNOWN = [0, 1, 2, 4] as const

export interface UnseenBatch {
  readonly kind: Unseen
  readonly counted: number
  readonly gapH: number
  readonly lostShare: number
  readonly blamesLot: boolean
  /** How likely a weak lot is held to be. */
  readonly weak: number
  readonly verdict: Diagnosis['verdict']
}

/** So many batches of each kind and each knowledge of the lot that lost by it, by the simulator's own truth. */
export function playUnseen(seed: number, each: number, onBatch?: (done: number) => void): UnseenBatch[] {
  const out: UnseenBatch[] = []
  for (const kind of Object.keys(UNSEEN) as Unseen[])
    for (const counted of KNOWN) {
      if (kind === 'turned-weak' && counted === 0) continue
      for (let kept = 0, at = 0; kept < each && at < 6 * each; at++) {
        const batch = playOne(seedOf(seed, `${kind} ${counted} ${at}`), kind, counted)
        if (batch.lostShare < MATTERS_SHARE) continue
        out.push(batch)
        kept++
        onBatch?.(out.length)
      }
    }
  return out
}

function playOne(seed: number, kind: Unseen, batchesBefore: number): UnseenBatch {
  const random = seededRandom(seed)
  // Nothing that is told by something else than the hatch, and a keeper who counts all three stages.
  const well: Setting = {
    ...drawSetting(random),
    silent: null,
    probeOffsetC: 0,
    countsEmbryos: true,
    batchesBefore,
  }
  const wellPlayed = playSetting(well, BEGINS_MS, seed)
  const { setting, gapH } = spoilt(well, kind, wellPlayed.bestH, seed)
  const played = playSetting(setting, BEGINS_MS, seed)
  const history = historyOf(kind === 'turned-weak' ? well : setting, random.fork('history'))
  const harvestH = harvestOf(played, wellPlayed)
  const diagnosis = diagnose(inputOf(played, harvestH, history, random.fork('keeper')))
  const found = [...diagnosis.causes, ...diagnosis.ruledOut].find(one => one.kind === 'weak-lot')
  const food = (of: typeof played) => hiddenAt(of, harvestOf(of, wellPlayed)).food
  return {
    kind,
    counted: batchesBefore,
    gapH,
    lostShare: 1 - food(played) / Math.max(food(wellPlayed), 1e-6),
    blamesLot: diagnosis.causes.some(one => one.kind === 'weak-lot'),
    weak: found?.probability ?? 0,
    verdict: diagnosis.verdict,
  }
}

function spoilt(
  well: Setting,
  kind: Unseen,
  bestH: number,
  seed: number,
): { setting: Setting; gapH: number } {
  const random = seededRandom(seed).fork('spoilt')
  const fromH = between(random, 5, 8)
  const gapH = Math.min(between(random, 6, 14), bestH - 2 - fromH)
  const silent = { fromH, toH: fromH + gapH }
  const weak = () => put('weak-lot', oneOf(random, [1, 2, 3] as const), well, bestH, random).setting
  switch (kind) {
    case 'heat-in-gap': {
      const heat = put('too-hot', 3, well, bestH, random).setting
      // Over early enough to have cooled before somebody measures again.
      const lamp = [
        { atH: fromH + 0.3, to: heat.scenario.lamp.at(-2)?.to ?? 1 },
        { atH: fromH + Math.max(gapH - 4, 1.5), to: 1 },
      ]
      return { setting: { ...heat, scenario: { ...heat.scenario, lamp }, silent }, gapH }
    }
    case 'weak-in-gap':
      return { setting: { ...weak(), silent }, gapH }
    case 'not-measured': {
      const fault = oneOf(random, ['salinity-off', 'ph-off'] as const)
      const off = put(fault, oneOf(random, [1, 2, 3] as const), well, bestH, random).setting
      const usual = well.scenario.salinityGpl
      return {
        setting: { ...off, measuresSalinity: false, measuresPH: false, writtenGpl: usual },
        gapH: 0,
      }
    }
    case 'weak':
    case 'turned-weak':
      return { setting: weak(), gapH: 0 }
  }
}

export function unseenTable(batches: readonly UnseenBatch[], seed: number): string {
  const cell = (kind: Unseen, counted: number) => {
    const some = batches.filter(one => one.kind === kind && one.counted === counted)
    return some.length === 0 ? '' : `${some.filter(({ blamesLot }) => blamesLot).length} of ${some.length}`
  }
  const rows = (Object.keys(UNSEEN) as Unseen[]).map(kind =>
    [UNSEEN[kind], ...KNOWN.map(counted => cell(kind, counted))].join(' | '),
  )
  return [
    `Batches whose loss was put to the lot, seed ${seed}:\n`,
    `| what was done | ${KNOWN.map(counted => `lot counted ${counted} times`).join(' | ')} |`,
    `| --- | ${KNOWN.map(() => '---').join(' | ')} |`,
    ...rows.map(row => `| ${row} |`),
  ].join('\n')
}
