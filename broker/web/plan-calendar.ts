import ical, { ICalAlarmType, ICalEventTransparency } from 'ical-generator'
import { ageWords, naupliiAge } from '../hatch/holding/nauplii-age.ts'
import { CYST_SPOON, gramsWord, spoonsOf } from '../hatch/recipe/spoons.ts'
import type { FedMeal, PlannedHarvest } from '../plan/contract.ts'
import { HarvestAct, harvestAct } from '../plan/harvest-act.ts'
import type { PlanView } from '../room/feeding/contract.ts'

const MINUTE_MS = 60_000
/** How long each takes in a calendar: to be seen, and to be told apart. */
const LASTS_MS = { start: 20 * MINUTE_MS, harvest: 30 * MINUTE_MS, meal: 15 * MINUTE_MS }
/** Calendars remind so long before, s. */
const ALARM_S = 10 * 60
/** How often calendars should ask, s. */
const ASK_EVERY_S = 15 * 60

/**
 * The plan as a calendar (RFC 5545): what to start, what to harvest, what to feed. Times are in UTC, which is unambiguous when clocks
 * change; the zone stands beside for whoever wants it. The same start, harvest or meal keeps its UID from plan to plan.
 */
export function planCalendar(view: PlanView): string {
  const calendar = ical({
    name: 'Feeding plan',
    prodId: { company: 'brinewatch', product: 'feeding-plan', language: 'EN' },
    ttl: ASK_EVERY_S,
    x: [['X-WR-TIMEZONE', view.preferences.zone]],
  })
  const name = new Map(view.vessels.map(({ id, name }) => [id, name]))
  const stamp = new Date(view.computedAtMs)
  // It rises with every plan (RFC 5545, 3.8.7.4), also over a restart, with nothing kept: the minute of the plan.
  const sequence = Math.floor(view.computedAtMs / MINUTE_MS)
  const add = (
    uid: string,
    startMs: number,
    lastsMs: number,
    { summary, description }: { summary: string; description: string },
  ) =>
    calendar.createEvent({
      id: `${uid}@brinewatch`,
      stamp,
      lastModified: stamp,
      sequence,
      start: new Date(startMs),
      end: new Date(startMs + lastsMs),
      summary,
      description,
      transparency: ICalEventTransparency.TRANSPARENT,
      alarms: [{ type: ICalAlarmType.display, trigger: ALARM_S, description: summary }],
    })

  const nth = new Map<string, number>()
  for (const start of view.starts) {
    const vessel = name.get(start.vesselId) ?? start.vesselId
    const lot = start.lotId === '' ? '' : ` of ${/^lot\b/iu.test(start.lotId) ? '' : 'lot '}${start.lotId}`
    const spoons = spoonsOf(start.grams, CYST_SPOON)
    // A start that moves by hours is the same one: the nth of its vessel on its way, from the day it is planned for.
    const day = new Date(start.startMs).toISOString().slice(0, 10)
    const key = `start-${start.vesselId}-${day}`
    const count = (nth.get(key) ?? 0) + 1
    nth.set(key, count)
    add(`${key}-${count}`, start.startMs, LASTS_MS.start, {
      summary: `Start ${gramsWord(start.grams)} g in ${vessel}`,
      description: `${gramsWord(start.grams)} g (${spoons})${lot} in ${vessel}.${start.nightStart ? ' At night.' : ''}`,
    })
    add(`harvest-${key}-${count}`, start.harvestMs, LASTS_MS.harvest, {
      summary: `Harvest ${vessel}`,
      description: `About ${thousands(start.nauplii)} nauplii. Planned; it moves with the forecast.`,
    })
  }
  for (const harvest of view.harvests) {
    const { batchId, vesselId, harvestMs } = harvest
    const vessel = name.get(vesselId) ?? vesselId
    add(
      `harvest-${batchId}`,
      harvestMs,
      LASTS_MS.harvest,
      harvestWords(harvest, vessel, harvestAct(harvest, view.running)),
    )
  }
  const cohorts = new Map(view.cohorts.map(({ id, name }) => [id, name]))
  // What is late is planned as of now, and would move with every look: the page says what to do about it.
  const late = new Set(view.open.map(({ id }) => id))
  for (const meal of view.meals) {
    if (late.has(meal.id)) continue
    const fry = cohorts.get(meal.cohortId) ?? meal.cohortId
    add(`meal-${meal.id.replace('@', '-')}`, meal.atMs, LASTS_MS.meal, {
      summary: `Feed ${fry}${meal.lacking > 0 ? ' (lacking)' : ''}`,
      description: mealWords(meal),
    })
  }
  return calendar.toString()
}

function harvestWords({ nauplii, used }: PlannedHarvest, vessel: string, act: HarvestAct) {
  const gives = `About ${thousands(nauplii)} nauplii, of which ${thousands(used)} are planned for.`
  switch (act) {
    case HarvestAct.seeTo:
      return {
        summary: `See to ${vessel} first`,
        description: `An alarm stands on it that may cost the batch, now and not only at this hour. ${gives}`,
      }
    case HarvestAct.empty:
      return { summary: `Empty ${vessel}`, description: 'Nothing more is expected of it.' }
    case HarvestAct.harvest:
      return { summary: `Harvest ${vessel}`, description: gives }
  }
}

function mealWords({ nauplii, lacking, wanted, servings }: FedMeal): string {
  const ages = servings.map(({ ageH, coldH }) => ageWords(naupliiAge(ageH, coldH)))
  const from = ages.length === 0 ? '' : ` From nauplii ${[...new Set(ages)].join(' and ')}.`
  const lacks = lacking > 0 ? ` ${thousands(lacking)} of ${thousands(wanted)} are lacking.` : ''
  return `${thousands(nauplii)} nauplii.${from}${lacks}`
}

/** To two figures: nobody counts them closer. */
const thousands = (nauplii: number): string => Number(nauplii.toPrecision(2)).toLocaleString('en-US')
