import { hardlyKnown } from '../../broker/hatch/hardly-known.ts'
import { STOPS_ABOVE_C } from '../../broker/hatch/development/thermal-clock.ts'
import type { Forecast } from '../../broker/web/api/forecast.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
import { hasCome, STOPPED_LPM } from './alarm.ts'
import { unhurriedText } from './alarm-oxygen.ts'
import { lastHeardMs, standing, standingHot, waterLimits } from './condition.ts'
import { aboutPercent, hardlyOut, percent } from './hatch.ts'
import { digitsBeside, shortTemperature, wholeTemperature } from './temperature.ts'
import { duration, moment, next, span, type Zone } from './time.ts'

/** The one sentence under a vessel: what kills first, else when to harvest, or in plain words why that cannot be said. */
export function harvestSentence(
  vessel: Vessel,
  settings: Settings,
  nowMs: number,
  zone: Zone,
  alarms: readonly Alarm[] = [],
  isUncleaned = false,
): string {
  // Water that is still to be poured away is no room for a batch.
  if (!vessel.batch && isUncleaned) return 'No batch in it. Clean it before the next one.'
  return (
    dangerSentence(vessel, settings, nowMs, zone, alarms) ?? windowSentence(vessel, settings, nowMs, zone)
  )
}

/** Nauplii that are out live for minutes without air, and for long only in water that is not too hot: that goes before any harvest. */
function dangerSentence(
  vessel: Vessel,
  settings: Settings,
  nowMs: number,
  zone: Zone,
  alarms: readonly Alarm[],
): string | null {
  const { batch, forecast, latest } = vessel
  if (!batch) return null
  const air = standing(alarms, 'air-lost')
  const hot = standingHot(alarms)
  const isOut = forecast !== null && forecast.reachesHatch && !hardlyOut(forecast.hatchedNow)
  const since = ({ raisedAt }: Alarm) => `since ${moment(Date.parse(raisedAt), nowMs, zone)}`
  if (air) {
    const airLpm = latest.airLpm?.value ?? null
    const what = airLpm !== null && airLpm >= STOPPED_LPM ? 'Too little air' : 'No air'
    const also = hot ? ', and too hot' : ''
    const lasts = isOut || hot ? '' : unhurriedText(air, vessel, settings, nowMs, zone)
    const act = isOut ? 'harvest or restore it now' : lasts === '' ? 'restore it now' : 'restore it'
    return `${what} ${since(air)}${also}: ${act}.${lasts === '' ? '' : ` ${lasts}.`}`
  }
  // Of water on its way to where hatching stops the sentence without a window says more.
  if (hot && forecast?.reachesHatch !== false) {
    const heardMs = lastHeardMs(vessel, settings, nowMs)
    // What it is now nobody knows.
    if (heardMs !== null)
      return `Last heard ${moment(heardMs, nowMs, zone)}, too hot: look at it, and take heat off.`
    return `Too hot${hasCome(hot) ? '' : ` ${since(hot)}`}: take heat off now${isOut ? ', or harvest' : ''}.`
  }
  return null
}

function windowSentence(vessel: Vessel, settings: Settings, nowMs: number, zone: Zone): string {
  if (!vessel.batch) return vessel.channels.water ? 'Empty. Ready for a batch.' : 'No probe and no batch yet.'
  const forecast = vessel.forecast
  if (!forecast) {
    if (!vessel.channels.water) return 'No forecast: no probe is on this vessel.'
    return vessel.latest.waterC ? 'No forecast yet.' : 'No forecast yet: no water reading has come in.'
  }
  if (!forecast.reachesHatch) {
    const heardMs = lastHeardMs(vessel, settings, nowMs)
    const stuck = stuckSentence(vessel, forecast, settings)
    return heardMs === null ? stuck : `When last heard, ${moment(heardMs, nowMs, zone)}: ${uncapped(stuck)}`
  }

  const fromMs = Date.parse(forecast.harvest.from)
  const bestMs = Date.parse(forecast.harvest.best)
  const untilMs = Date.parse(forecast.harvest.until)
  const lateMs = Date.parse(forecast.harvest.bestBand.p90)
  if (nowMs < fromMs)
    return `Harvest from ${moment(fromMs, nowMs, zone)}, best by ${next(bestMs, fromMs, nowMs, zone)}`
  const unsure = hardlyKnown(forecast.hatchedNow)
  if (nowMs <= bestMs)
    return `${unsure ? 'Perhaps ready: look' : 'Harvest now'}, best by ${moment(bestMs, nowMs, zone)}`
  if (nowMs <= untilMs)
    return unsure
      ? `Perhaps ready: look. If nearly all are out, they are good until ${moment(untilMs, nowMs, zone)}`
      : `Harvest now, ${lateMs > untilMs ? 'most likely' : 'only'} good until ${moment(untilMs, nowMs, zone)}`
  return unsure && lateMs > nowMs
    ? `Most likely past its best since ${moment(untilMs, nowMs, zone)}: look, and harvest what is there.`
    : `Past its best since ${moment(untilMs, nowMs, zone)}. Harvest what is left.`
}

/**
 * What the bracket on the ribbon and the doubt in it mean; empty when none is drawn. The window is the one that the sentence and the
 * ribbon tell; beside it stands only how far its best moment may still move.
 */
export function bracketText({ batch, forecast }: Vessel, nowMs: number, zone: Zone): string {
  if (!batch || !forecast?.reachesHatch) return ''
  const { bestBand, from, until } = forecast.harvest
  const fromMs = Date.parse(from)
  const untilMs = Date.parse(until)
  const earlyMs = Date.parse(bestBand.p10)
  const lateMs = Date.parse(bestBand.p90)
  const window = `Window ${span(fromMs, untilMs, nowMs, zone)}`
  const noTelling = lateMs >= Date.parse(forecast.at) + KNOWN_FOR_MS ? whyNoTelling(forecast) : null
  // A window cannot be shut while its best moment may be: it is the middle one, and a quick lot has its own, earlier one.
  if (lateMs > nowMs && earlyMs < fromMs && nowMs < fromMs) {
    const quick =
      earlyMs <= nowMs ? 'already: look' : `as early as ${moment(earlyMs, nowMs, zone)}: look then`
    if (noTelling !== null)
      return `${window} as most likely. A quick lot may be at its best ${quick}; of a slow one there is no telling: ${noTelling}.`
    return `${window} as most likely. A quick lot may be at its best ${quick}; a slow one as late as ${moment(lateMs, nowMs, zone)}.`
  }
  if (lateMs <= nowMs) return `${window}.`
  const early = earlyMs <= nowMs ? 'be past already' : `be as early as ${moment(earlyMs, nowMs, zone)}`
  if (noTelling !== null)
    return `${window} as most likely; its best moment may ${early}. How late it may be there is no telling: ${noTelling}.`
  const late = moment(lateMs, nowMs, zone)
  return lateMs > untilMs
    ? `${window} as most likely; its best moment may ${early}. Of a slow lot all of it comes later, its best as late as ${late}.`
    : `${window}; its best moment may ${early}, or as late as ${late}.`
}

/** The ten days that are reckoned ahead, less one: a bound that falls there is no moment, but the end of the reckoning, ms. */
const KNOWN_FOR_MS = 9 * 86_400_000
/** Halfway between where development stops in the cold, 12 °C, and in the heat: which of the two an open end comes from. */
const HALFWAY_C = (12 + STOPS_ABOVE_C) / 2

/** Why nobody can tell how late the best moment may be: in part of what the water may do it never comes. */
const whyNoTelling = ({ expectedWaterC }: Forecast): string =>
  expectedWaterC.p50 > HALFWAY_C
    ? 'the water may get too hot to hatch'
    : 'the water may stay too cool to hatch'

/** What was seen elsewhere and moved this harvest: how far, and what that makes of what is out. Empty where nothing did. */
export function movedText(
  { forecast }: Pick<Vessel, 'forecast'>,
  nameOf: (vesselId: string) => string | undefined,
  nowMs: number,
  zone: Zone,
): string {
  const moved = forecast?.moved
  if (!forecast || !moved) return ''
  const { kind, at, vesselId, laterH, hatchedBefore } = moved
  const what = kind === 'count' ? 'the count' : 'the first swimmers seen'
  const where =
    vesselId === null
      ? ' here'
      : `${kind === 'count' ? ' of' : ' in'} ${nameOf(vesselId) ?? 'a vessel that is gone'}`
  const by = duration(Math.round(Math.abs(laterH) * 4) * 900_000)
  const out = [hatchedBefore, forecast.hatchedNow].map(band => percent(band.p50, band))
  const instead =
    out[0] === out[1] ? '' : `; ${out[1]}\u00a0% may be out by now, where it was ${out[0]}\u00a0%`
  return `Moved by ${what}${where} at ${moment(Date.parse(at), nowMs, zone)}: ${by} ${laterH > 0 ? 'later' : 'sooner'}${instead}.`
}

/**
 * Whether a batch's water is on its way to where it does harm, or there already, so that its vessel says to take heat off: whether or
 * not an alarm rings yet.
 */
export function heatsToHarm({ batch, forecast, latest }: Vessel, settings: Settings): boolean {
  if (!batch || !forecast || forecast.reachesHatch) return false
  const { hotC } = waterLimits(settings)
  return forecast.expectedWaterC.p50 > hotC || (latest.waterC?.value ?? -Infinity) > STOPS_ABOVE_C
}

const uncapped = (words: string): string => words.charAt(0).toLowerCase() + words.slice(1)

/** Two levels are told apart: the limit that calls, a cautious one, and where hatching stops, as published. */
function stuckSentence(vessel: Vessel, { expectedWaterC }: Forecast, settings: Settings): string {
  const { hotC } = waterLimits(settings)
  const waterC = vessel.latest.waterC?.value ?? null
  if (!heatsToHarm(vessel, settings)) return 'Too cool to hatch within ten days. Warm the water.'
  const unit = settings.temperatureUnit
  const limit = unit === 'C' ? '33 °C' : '91 °F'
  const stops = `about ${limit}, where hatching stops`
  const end = wholeTemperature(expectedWaterC.p50, unit)
  // Where it ends, as the curve draws it; without a hatch in sight what is expected is as good as that.
  const goesTo =
    expectedWaterC.p50 > STOPS_ABOVE_C && end !== limit
      ? `about ${end}; above about ${limit} hatching stops`
      : stops
  if (waterC !== null && waterC > STOPS_ABOVE_C) return `Above ${stops}. Cool the water first.`
  if (waterC !== null && waterC >= hotC)
    return `${waterC > hotC ? 'Over' : 'At'} its alarm limit of ${shortTemperature(hotC, unit, digitsBeside(waterC, hotC))}, and on its way to ${goesTo}. Take heat off.`
  return `On its way to ${goesTo}. Take heat off.`
}

/** The room in one sentence: what is next for the person. */
export function roomSentence(
  vessels: readonly Vessel[],
  nowMs: number,
  zone: Zone,
  alarms: readonly Alarm[] = [],
  settings: Settings | null = null,
): string {
  const called = (find: (own: readonly Alarm[]) => Alarm | undefined, ...told: Vessel[][]) =>
    vessels.filter(
      vessel =>
        vessel.batch &&
        !told.some(those => those.includes(vessel)) &&
        find(alarms.filter(({ vesselId }) => vesselId === vessel.id)),
    )
  const airless = called(own => standing(own, 'air-lost'))
  const hot = called(standingHot, airless)
  const heating = called(own => standing(own, 'water-heading-hot'), airless, hot)
  // Before it rings, too: what is on its way to harm goes before what is perhaps ready.
  const ahead = vessels.filter(
    vessel =>
      settings !== null &&
      ![airless, hot, heating].some(those => those.includes(vessel)) &&
      heatsToHarm(vessel, settings),
  )
  const above = (vessel: Vessel) =>
    settings !== null && (vessel.latest.waterC?.value ?? -Infinity) >= waterLimits(settings).hotC
  const isUnheard = (vessel: Vessel) => settings !== null && lastHeardMs(vessel, settings, nowMs) !== null
  const tooHot = [...hot, ...ahead.filter(above)]
  const warming = [...heating, ...ahead.filter(vessel => !above(vessel))]
  const due = vessels
    .filter(vessel => ![airless, hot, heating].some(those => those.includes(vessel)))
    .flatMap(vessel =>
      vessel.batch && vessel.forecast?.reachesHatch ? [{ vessel, harvest: vessel.forecast.harvest }] : [],
    )
    .sort((a, b) => Date.parse(a.harvest.from) - Date.parse(b.harvest.from))
  const past = due.filter(({ harvest }) => Date.parse(harvest.until) < nowMs)
  const ready = due.filter(each => Date.parse(each.harvest.from) <= nowMs && !past.includes(each))
  const sure = ready.filter(({ vessel }) => vessel.forecast && !hardlyKnown(vessel.forecast.hatchedNow))
  const unsure = ready.filter(each => !sure.includes(each))
  const waiting = [
    ...silentTogether(alarms),
    ...told(asDue(airless), 'lacks air', 'lack air'),
    ...told(asDue(tooHot.filter(each => !isUnheard(each))), 'is too hot', 'are too hot'),
    ...told(asDue(tooHot.filter(isUnheard)), 'was too hot when last heard', 'were too hot when last heard'),
    ...told(asDue(warming.filter(each => !isUnheard(each))), 'is heating up', 'are heating up'),
    ...told(
      asDue(warming.filter(isUnheard)),
      'was heating up when last heard',
      'were heating up when last heard',
    ),
    ...told(sure, 'is ready to harvest', 'are ready to harvest'),
    ...told(unsure, 'is perhaps ready', 'are perhaps ready'),
    ...told(past, 'is past its best', 'are past their best'),
  ]
  if (waiting.length > 0) return `${waiting.join('; ')}.`
  const first = due[0]
  if (first)
    return `Next harvest: ${first.vessel.name}, ${moment(Date.parse(first.harvest.from), nowMs, zone)}.`
  return vessels.some(vessel => vessel.batch) ? 'No harvest in sight yet.' : 'No batch is on its way.'
}

/** Before all that is told of single vessels: what is last known of these may be long over. */
function silentTogether(alarms: readonly Alarm[]): string[] {
  const lost = standing(alarms, 'power-lost')
  if (!lost) return []
  return [`${lost.value === null ? 'Several' : lost.value} devices are silent`]
}

const asDue = (vessels: readonly Vessel[]) => vessels.map(vessel => ({ vessel }))

/** Up to this many vessels are called by their names. */
const NAMED = 3

/** A few by their names, many by their number, none not at all. */
function told(due: readonly { readonly vessel: Vessel }[], one: string, several: string): string[] {
  if (due.length === 0) return []
  if (due.length > NAMED) return [`${due.length} vessels ${several}`]
  const names = due.map(({ vessel }) => vessel.name)
  const last = names.pop() ?? ''
  return [names.length === 0 ? `${last} ${one}` : `${names.join(', ')} and ${last} ${several}`]
}

const STAGE_WORDS = {
  soaking: 'soaking',
  incubating: 'incubating',
  hatching: 'hatching',
  harvest: 'ready',
  overdue: 'overdue',
} as const

/** `incubating`; once something is out, how much of it: `about 40 % out`. */
export function stageText(vessel: Vessel): string {
  const forecast = vessel.forecast
  if (!vessel.batch) return 'no batch'
  if (!forecast) return 'under way'
  const { hatchedNow, stage } = forecast
  return hardlyOut(hatchedNow) ? STAGE_WORDS[stage] : `${aboutPercent(hatchedNow)} % out`
}
