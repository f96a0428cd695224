import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
import { zone } from '../state/zone.ts'
import { alarmWord, isOver } from '../words/alarm.ts'
import { oxygenLeftText, withOxygen } from '../words/alarm-oxygen.ts'
import { alarmSpan, firstAct } from '../words/alarm-span.ts'
import { spoken } from '../words/alarm-spoken.ts'

/** For an ear: what it is, where, and the rest as it would be said; each alarm once as it stands. */
export class Aloud {
  #key = ''
  #words = ''

  /** What is counted down on the screen is not said anew with each minute. */
  once(
    alarm: Alarm,
    name: string,
    vessel: Vessel | undefined,
    settings: Settings | null,
    nowMs: number,
  ): string {
    const unit = settings?.temperatureUnit ?? 'C'
    const { id, state, announcedAt, text } = alarm
    const key = JSON.stringify([id, state, announcedAt, text, name, unit])
    if (key === this.#key) return this.#words
    const rest = isOver(alarm)
      ? `${alarmSpan(alarm, nowMs, zone)}. ${firstAct(alarm)}`
      : textNow(alarm, vessel, settings, nowMs)
    this.#key = key
    this.#words = `${alarmWord(alarm)}: ${name}. ${spoken(rest, unit)}`
    return this.#words
  }
}

/** What it told, with how long the oxygen lasts as it is by now: the screen says no other figure. */
function textNow(alarm: Alarm, vessel: Vessel | undefined, settings: Settings | null, nowMs: number): string {
  if (alarm.rule !== 'air-lost' || !settings || !vessel) return alarm.text
  return withOxygen(alarm.text, oxygenLeftText(alarm, vessel, settings, nowMs, zone))
}
