import type { Forecast } from '../../broker/web/api/forecast.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { quietMs } from './condition.ts'
import { temperatureText } from './temperature.ts'

/** At what water a batch is reckoned that has no reading of its own: where the vessel's are heard, it has only just started. */
export function reckonedAt(
  { expectedWaterC }: Pick<Forecast, 'expectedWaterC'>,
  { latest: { waterC }, silentAfterS }: Pick<Vessel, 'latest' | 'silentAfterS'>,
  settings: Settings | null,
  nowMs: number,
): string {
  const unit = settings?.temperatureUnit ?? 'C'
  const reckoned = `reckoned at ${temperatureText(expectedWaterC.p50, unit)}`
  const isHeard =
    waterC?.quality === 'good' &&
    waterC.value !== null &&
    settings !== null &&
    nowMs - Date.parse(waterC.at) <= quietMs(settings, silentAfterS?.water)
  return isHeard && waterC.value !== null
    ? `Just started: the water is at ${temperatureText(waterC.value, unit)}, and ${reckoned} from here on`
    : `No readings: ${reckoned}`
}
