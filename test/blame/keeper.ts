import type { WrittenDown } from '../../broker/diagnosis/contract.ts'
import { poisson } from '../skill/keeper.ts'
import type { Random } from '../../sim/random.ts'
import { hiddenAt, HOUR_MS, type Played } from './played.ts'

/** What a drawn sample is off by, beyond chance, and what the weighed dose is off by: relative standard deviations. */
const MIXING_SD = 0.08
const DOSE_SD = 0.08
const SAMPLED_ML = 1.5
/** What a keeper's own instruments are off by: standard deviations. */
const THERMOMETER_SD_C = 0.2
const READING_SD_C = 0.15
const REFRACTOMETER_SD_GPL = 1
const PH_SD = 0.06

/** What the keeper writes down of a batch that is harvested at an hour. Made from the hidden truth, by chance as people are. */
export function writeDown(played: Played, harvestH: number, random: Random): WrittenDown {
  const { setting, startedAtMs, hidden } = played
  const { scenario, lot } = setting
  const atMs = (hours: number) => startedAtMs + hours * HOUR_MS
  const final = hidden.reduce((most, one) => Math.max(most, one.nauplii), 0)
  const firstShare = 0.02 * Math.exp(0.6 * random.normal())
  let firstSwimmersAtMs: number | undefined
  for (let atH = 6 + 2 * random.uniform(); atH < harvestH; atH += 1 + 2 * random.uniform()) {
    const hour = (scenario.room.startHour + atH) % 24
    if (hour < 7 || hour >= 23) continue
    if (final > 0.02 && hiddenAt(played, atH).nauplii >= firstShare * final) {
      if (random.uniform() < setting.notesFirst) firstSwimmersAtMs = atMs(atH)
      break
    }
  }
  const { nauplii, umbrella, embryos } = hiddenAt(played, harvestH)
  const cysts = lot.cystsPerG * scenario.cystsGpl * (SAMPLED_ML / 1000) * Math.exp(DOSE_SD * random.normal())
  const counted = (share: number) => poisson(cysts * share * Math.exp(MIXING_SD * random.normal()), random)
  // Once when it has started, and once at a look on the way.
  const thermometerC = THERMOMETER_SD_C * random.normal()
  const waterChecked = [0.5 + random.uniform(), harvestH * (0.4 + 0.3 * random.uniform())].map(atH => ({
    atMs: atMs(atH),
    waterC: hiddenAt(played, atH).waterC + thermometerC + READING_SD_C * random.normal(),
  }))
  return {
    ...(firstSwimmersAtMs === undefined ? {} : { firstSwimmersAtMs }),
    harvestedAtMs: atMs(harvestH),
    counts: [
      {
        atMs: atMs(harvestH),
        nauplii: counted(nauplii),
        umbrella: setting.countsEmbryos ? counted(umbrella) : null,
        embryos: setting.countsEmbryos ? counted(embryos) : null,
        sampledMl: SAMPLED_ML,
        harvest: true,
      },
    ],
    ...(setting.checksWater ? { waterChecked } : {}),
    ...(setting.measuresSalinity
      ? {
          salinity: [
            {
              atMs: atMs(0),
              gpl: Math.max(0, scenario.salinityGpl + REFRACTOMETER_SD_GPL * random.normal()),
            },
          ],
        }
      : {}),
    ...(setting.measuresPH ? { pH: [{ atMs: atMs(0.2), pH: scenario.pH + PH_SD * random.normal() }] } : {}),
  }
}
