import { developmentRate } from '../../broker/hatch/development/thermal-clock.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { shortTemperature, wholeTemperature } from './temperature.ts'
import { duration } from './time.ts'

/** Water that is to warm by so much before the hatch is spoken of, °C: it is hours of its time. Own choice. */
const WARMS_BY_C = 2
const HOUR_MS = 3_600_000

/**
 * That a harvest is reckoned with warmer water than there is: at first with the warmth that is planned, until the readings tell where the
 * water goes. With what it comes to where nobody warms it, if `full`; empty where the water is about as it is expected to stay.
 */
export function warmingText(
  { batch, forecast, latest }: Pick<Vessel, 'batch' | 'forecast' | 'latest'>,
  { temperatureUnit: unit }: Pick<Settings, 'temperatureUnit'>,
  nowMs: number,
  full: boolean,
): string {
  const water = latest.waterC
  if (!batch || !forecast?.reachesHatch || water?.quality !== 'good' || water.value === null) return ''
  const waterC = water.value
  const warmC = forecast.expectedWaterC.p50
  const leftMs = Date.parse(forecast.harvest.best) - nowMs
  if (leftMs <= 0 || warmC - waterC < WARMS_BY_C) return ''
  const said = `Reckoned as if the water, now at ${shortTemperature(waterC, unit)}, soon warms to about ${wholeTemperature(warmC, unit)}.`
  if (!full) return said
  const rate = developmentRate(waterC)
  if (rate <= 0) return `${said} As cold as it is nothing hatches.`
  const hours = Math.round((leftMs * (developmentRate(warmC) / rate - 1)) / HOUR_MS)
  return hours < 1
    ? said
    : `${said} As cold as it is the harvest comes about ${duration(hours * HOUR_MS)} later.`
}
