import type { Calibration, CalibrationMade, ProbeLook } from '../../broker/web/api/calibrations.ts'
import { temperatureText, toF, type TemperatureUnit } from './temperature.ts'
import { duration } from './time.ts'

/** A temperature to a hundredth, both units: `0.25 °C (32.45 °F)`. */
export function fineTemperature(celsius: number, unit: TemperatureUnit): string {
  const [c, f] = [`${hundredth(celsius)} °C`, `${hundredth(toF(celsius))} °F`]
  return unit === 'C' ? `${c} (${f})` : `${f} (${c})`
}

/** A difference to a hundredth: `0.25 °C (0.45 °F)`. */
export function fineDifference(celsius: number, unit: TemperatureUnit): string {
  const [c, f] = [`${hundredth(celsius)} °C`, `${hundredth(celsius * 1.8)} °F`]
  return unit === 'C' ? `${c} (${f})` : `${f} (${c})`
}

const hundredth = (value: number): string => {
  const text = value.toFixed(2)
  return text === '-0.00' ? '0.00' : text.replace('-', '−')
}

/** How far the probe is from being at rest. */
export function restWords(rest: ProbeLook['rest'], unit: TemperatureUnit): string {
  if (rest === null) return 'No reading of it in the last ten minutes. It may be off, or send seldom.'
  if (rest.steady) return `At rest for ${duration(rest.stillForS * 1000)}, from ${rest.count} readings.`
  const wait = duration(Math.max(1, Math.ceil(rest.waitS)) * 1000)
  if (rest.stillForS < 20)
    return `Still moving, by ${fineDifference(Math.abs(rest.slopeCPerMin), unit)} a minute. Wait.`
  return `At rest for ${duration(rest.stillForS * 1000)}; ${wait} more.`
}

/** What a calibration found, and what it does. */
export function foundWords({ gain, offset, points }: CalibrationMade, unit: TemperatureUnit): string {
  const at = (probeC: number) => {
    const offC = probeC - (gain * probeC + offset)
    if (Math.abs(offC) < 0.005) return `right at ${temperatureText(probeC, unit)}`
    return `${fineDifference(Math.abs(offC), unit)} too ${offC > 0 ? 'high' : 'low'} at ${temperatureText(probeC, unit)}`
  }
  return `It reads ${points.map(({ probeC }) => at(probeC)).join(', and ')}.`
}

/** How sure a set-right reading is: twice its standard uncertainty. */
export const sureWords = (
  { uncertaintyC }: Pick<CalibrationMade, 'uncertaintyC'>,
  unit: TemperatureUnit,
): string => `Set right, it is good to ± ${fineDifference(2 * uncertaintyC, unit)} where the water is kept`

/** Which alarm comes earlier for it: only what measures a vessel's water has one. */
export function earlierWords(assignedTo: ProbeLook['assignedTo']): string {
  if (assignedTo === null)
    return 'once it measures a vessel’s water, its heat alarm is called so much earlier'
  if (assignedTo.role === 'water') return 'the heat alarm of its vessel is called so much earlier'
  return 'no alarm comes earlier for it, as it measures no water'
}

/** What more would make it surer; empty where nothing simple would. */
export function surerWords({ points }: CalibrationMade): string {
  const warm = points.some(({ referenceC }) => referenceC > 20)
  const ice = points.some(({ reference }) => reference === 'ice')
  if (!warm)
    return 'A second point in warm water, against a thermometer that you trust, would make it surer there.'
  return ice ? '' : 'A second point in ice would also tell whether it is off by the same everywhere.'
}

export function calibrationLine({ gain, offset, by }: Calibration, unit: TemperatureUnit): string {
  const scale = gain === 1 ? '' : `times ${gain.toFixed(4)}, `
  const sign = offset < 0 ? '− ' : '+ '
  return `${scale}${sign}${fineDifference(Math.abs(offset), unit)}, by ${by}`
}

/** How a probe is read after a calibration was taken back: by the newest that holds (they come newest first), or as measured. */
export const takenBackWords = (history: readonly Pick<Calibration, 'withdrawnAt'>[]): string =>
  history.some(({ withdrawnAt }) => withdrawnAt === null)
    ? 'The probe is set right by the calibration before it again.'
    : 'The probe is shown and judged as it measures: nothing sets it right.'
