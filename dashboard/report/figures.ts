import type { Recording } from '../replay/recording.ts'
import type { Diagnosis } from '../../broker/web/api/diagnosis.ts'
import type { HarvestEstimate } from '../batch/harvest-estimate.ts'
import { airText, gramsText, lightText, litresText } from '../words/amounts.ts'
import { shortTemperature, type TemperatureUnit } from '../words/temperature.ts'
import { duration } from '../words/time.ts'
import { killedFromMs } from '../replay/killed.ts'
import { sinceStart } from '../replay/words.ts'
import { harvestCount } from '../words/seen.ts'

export type Figure = readonly [what: string, value: string]

const GOAL = { balanced: 'balanced', smallest: 'the smallest nauplii', most: 'the most food' } as const
const rounded = (count: number): string => Number(count.toPrecision(3)).toLocaleString('en-US')

/** What went in, what was measured, what came out, each in a few words. */
export function figuresOf(
  { replay, fromMs, toMs, channels, gaps }: Recording,
  estimate: Pick<HarvestEstimate, 'nauplii' | 'naupliiPerG' | 'hatchPercentage'> | null,
  unit: TemperatureUnit,
  diagnosis: Pick<Diagnosis, 'causes'> | null = null,
): Figure[] {
  const { batch, forecast } = replay
  const { water, air, light } = channels
  const silentMs = gaps.reduce((sum, gap) => sum + gap.toMs - gap.fromMs, 0)
  const killedMs = killedFromMs(replay.events, diagnosis)
  // What the model says of the time after all were dead, or after the end, never was.
  const out = (what: string, time: string): Figure | null => {
    const atMs = Date.parse(time)
    return atMs <= toMs && atMs < killedMs ? [what, sinceStart(atMs - fromMs)] : null
  }
  const figures: (Figure | null)[] = [
    ['Lasted', batch.endedAt === null ? 'still open' : sinceStart(toMs - fromMs)],
    ['Water', `${litresText(batch.litres)}, ${Number(batch.salinityGpl.toFixed(1))} g/L salt`],
    ['Cysts', `${gramsText(batch.cystsG)}, ${Number((batch.cystsG / batch.litres).toFixed(1))} g/L`],
    ['Lot', batch.lot ?? 'not named'],
    ['Wanted', GOAL[batch.goal]],
    water ? ['Water, mean', shortTemperature(mean(water.columns.mean), unit)] : ['Water', 'not measured'],
    water
      ? [
          'Lowest, highest',
          `${shortTemperature(Math.min(...water.columns.min), unit)}, ${shortTemperature(Math.max(...water.columns.max), unit)}`,
        ]
      : null,
    air ? ['Air, mean', airText(mean(air.columns.mean))] : null,
    light ? ['Light, mean', lightText(mean(light.columns.mean))] : null,
    gaps.length > 0 ? ['Without readings', duration(silentMs)] : null,
    forecast.reachesHatch
      ? out('Of those that hatch, a tenth out', forecast.t10.p50)
      : ['Hatch', 'not reached'],
    forecast.reachesHatch ? out('Of those that hatch, nine tenths out', forecast.t90.p50) : null,
    estimate
      ? ['Counted', `${rounded(estimate.nauplii.best)} nauplii`]
      : harvestCount(replay.events)
        ? null
        : ['Counted', 'nothing'],
    estimate?.hatchPercentage
      ? [
          'Hatched, of all full cysts',
          `${Math.round(estimate.hatchPercentage.best)} % (${Math.round(estimate.hatchPercentage.low)} to ${Math.round(estimate.hatchPercentage.high)})`,
        ]
      : null,
    estimate ? ['From a gram', rounded(estimate.naupliiPerG.best)] : null,
  ]
  return figures.flatMap(figure => (figure ? [figure] : []))
}

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / Math.max(1, values.length)
