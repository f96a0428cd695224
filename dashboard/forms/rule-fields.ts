import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
import { HAS_DELAY } from '../words/alarm-rule.ts'
import type { TemperatureUnit } from '../words/temperature.ts'
import { fieldText, readNumber } from './form.ts'
import { keptNumber, Kind, shownNumber } from './kept-number.ts'

export type Rule = Alarm['rule']
type Setting = Settings['rules'][Rule]

/** What a rule's limit is measured in, what values make sense, and how far its clear distance may go, in the kept unit. */
export const LIMITS: Record<
  Rule,
  { unit: string; least: number; most: number; clear: number | null } | null
> = {
  'water-heading-hot': { unit: 'minutes ahead', least: 5, most: 360, clear: 360 },
  'water-too-hot': { unit: '°', least: 20, most: 40, clear: 10 },
  'water-too-cool': { unit: '°', least: 5, most: 30, clear: 10 },
  'air-lost': { unit: 'l/min for each litre', least: 0, most: 10, clear: 10 },
  'air-fading': { unit: '% of the settled air', least: 10, most: 95, clear: 50 },
  'light-out': { unit: 'lx', least: 0, most: 100_000, clear: 100_000 },
  'water-level': { unit: '% of where it stood', least: 10, most: 95, clear: 50 },
  'probe-fault': null,
  'probe-out-of-water': null,
  'device-silent': { unit: 'seconds', least: 10, most: 86_400, clear: null },
  'harvest-missed': { unit: 'minutes', least: 0, most: 1440, clear: null },
  'power-lost': { unit: 'seconds', least: 10, most: 86_400, clear: null },
  'disk-full': null,
  'store-slow': { unit: 'seconds', least: 1, most: 600, clear: 600 },
  'clock-jumped': { unit: 'seconds', least: 5, most: 86_400, clear: null },
  'channel-failing': null,
  'backup-overdue': { unit: 'hours', least: 1, most: 720, clear: null },
  'data-restored': null,
}

/** What belongs together stands together, the most urgent first. */
export const GROUPS: readonly (readonly [title: string, rules: readonly Rule[]])[] = [
  ['Warmth', ['water-heading-hot', 'water-too-hot', 'water-too-cool']],
  ['Air, light and water', ['air-lost', 'air-fading', 'light-out', 'water-level']],
  ['Probes and devices', ['probe-fault', 'probe-out-of-water', 'device-silent', 'power-lost']],
  ['Harvest', ['harvest-missed']],
  [
    'This service',
    ['channel-failing', 'disk-full', 'store-slow', 'clock-jumped', 'backup-overdue', 'data-restored'],
  ],
]

/** The longest delay, s: a day, as the broker has it. */
const LONGEST_S = 86_400
/** How much later a harvest may come before anybody is called, h. */
const MOST_COST_H = 24
/** What the broker takes for a rule that does not say when it calls again, s. */
const USUAL_RE_ALARM_S = 1800
/** The least and the most that the broker takes for how long an alarm may be shelved, h. */
const SHELVED_H = { least: 5 / 60, most: 12 } as const

const isOfTemperature = (rule: Rule): boolean => LIMITS[rule]?.unit === '°'
const limitKind = (rule: Rule): Kind => (isOfTemperature(rule) ? Kind.temperature : Kind.plain)
const clearKind = (rule: Rule): Kind => (isOfTemperature(rule) ? Kind.difference : Kind.plain)
export const hasClear = (rule: Rule): boolean => typeof LIMITS[rule]?.clear === 'number'

/** What a field of a rule is measured in, in the person's unit. */
export const limitUnit = (rule: Rule, unit: TemperatureUnit): string =>
  isOfTemperature(rule) ? `°${unit}` : (LIMITS[rule]?.unit ?? '')

/** The parts of a rule that are typed, as their fields show them. */
export interface Shown {
  readonly limit: number
  readonly deadband: number
  readonly onDelayS: number
  readonly offDelayS: number
  readonly reAlarmMin: number
  readonly leastCostH: number
}

export function shownOf(rule: Rule, setting: Setting, unit: TemperatureUnit): Shown {
  return {
    limit: shownNumber(setting.limit, limitKind(rule), unit),
    deadband: shownNumber(setting.deadband, clearKind(rule), unit),
    onDelayS: setting.onDelayS,
    offDelayS: setting.offDelayS,
    reAlarmMin: (setting.reAlarmS ?? USUAL_RE_ALARM_S) / 60,
    leastCostH: (setting.leastCostS ?? 0) / 3600,
  }
}

export const fieldName = (
  rule: Rule,
  part: keyof Shown | 'priority' | 'enabled' | 'latching' | 'allowForProbe' | '',
): string => `rules.${rule}.${part}`

export const shownShelveH = ({ shelveLimitMin }: Settings): number => Number((shelveLimitMin / 60).toFixed(2))

/** Whether two settings of a rule do the same; what is left out counts as what it stands for. */
export const sameRule = (one: Setting, other: Setting): boolean =>
  JSON.stringify(whole(one)) === JSON.stringify(whole(other))

function whole(setting: Setting) {
  const { enabled, limit, deadband, onDelayS, offDelayS, priority, latching = false } = setting
  const { reAlarmS = USUAL_RE_ALARM_S, leastCostS = 0, allowForProbe = true } = setting
  return [
    enabled,
    limit,
    deadband,
    onDelayS,
    offDelayS,
    priority,
    latching,
    reAlarmS,
    leastCostS,
    allowForProbe,
  ]
}

/** The one field of the form that belongs to no rule. */
export const LATER = 'shelveLimitMin'

/** The rules of which something else stands in the form than is kept, or something that cannot be; and `LATER` likewise. */
export function changedParts(form: HTMLFormElement, settings: Settings): (Rule | typeof LATER)[] {
  const { settings: typed, wrong } = readSettings(form, settings)
  const later = typed[LATER] !== settings[LATER] || wrong.has(LATER) ? ([LATER] as const) : []
  const rules = (Object.keys(LIMITS) as Rule[]).filter(
    rule =>
      rule in settings.rules &&
      (!sameRule(typed.rules[rule], settings.rules[rule]) ||
        [...wrong.keys()].some(name => name.startsWith(fieldName(rule, '')))),
  )
  return [...rules, ...later]
}

/** What stands in the form, over what is kept: what no field shows stays as it is. Wrong fields keep what was. */
export function readSettings(
  form: HTMLFormElement,
  settings: Settings,
): { readonly settings: Settings; readonly wrong: ReadonlyMap<string, string> } {
  const wrong = new Map<string, string>()
  const number = (name: string, least: number, most: number): number | null => {
    const typed = readNumber(fieldText(form, name))
    if (typed !== null && typed >= least && typed <= most) return typed
    wrong.set(name, `Write a number from ${least} to ${most}.`)
    return null
  }
  const rules = { ...settings.rules }
  for (const rule of Object.keys(rules) as Rule[]) {
    if (rule in LIMITS) rules[rule] = readRule(form, rule, rules[rule], settings.temperatureUnit, number)
  }
  if (wrong.size === 0 && rules['water-too-cool'].limit >= rules['water-too-hot'].limit)
    wrong.set(fieldName('water-too-cool', 'limit'), 'This must lie below what is too hot.')
  const least = Number(SHELVED_H.least.toFixed(2))
  const hours = number('shelveLimitMin', least, SHELVED_H.most)
  const shelveLimitMin =
    hours === null || hours === shownShelveH(settings)
      ? settings.shelveLimitMin
      : Math.max(SHELVED_H.least * 60, Math.round(hours * 60))
  return { settings: { ...settings, rules, shelveLimitMin }, wrong }
}

function readRule(
  form: HTMLFormElement,
  rule: Rule,
  before: Setting,
  unit: TemperatureUnit,
  number: (name: string, least: number, most: number) => number | null,
): Setting {
  const limits = LIMITS[rule]
  const read = (
    part: 'limit' | 'deadband' | 'onDelayS' | 'offDelayS',
    kind: Kind,
    least: number,
    most: number,
  ) => {
    const typed = number(fieldName(rule, part), shownNumber(least, kind, unit), shownNumber(most, kind, unit))
    return typed === null ? before[part] : keptNumber(typed, before[part], kind, unit)
  }
  const limit = limits ? read('limit', limitKind(rule), limits.least, limits.most) : before.limit
  const deadband =
    limits && limits.clear !== null ? read('deadband', clearKind(rule), 0, limits.clear) : before.deadband
  const delays = HAS_DELAY[rule]
    ? {
        onDelayS: read('onDelayS', Kind.plain, 0, LONGEST_S),
        offDelayS: read('offDelayS', Kind.plain, 0, LONGEST_S),
      }
    : {}
  const cost =
    before.leastCostS === undefined
      ? {}
      : scaled(number(fieldName(rule, 'leastCostH'), 0, MOST_COST_H), 3600, 'leastCostS', before.leastCostS)
  const again = scaled(
    number(fieldName(rule, 'reAlarmMin'), 0, LONGEST_S / 60),
    60,
    'reAlarmS',
    before.reAlarmS,
    USUAL_RE_ALARM_S,
  )
  const latching = fieldText(form, fieldName(rule, 'latching')) !== ''
  const allowForProbe = fieldText(form, fieldName(rule, 'allowForProbe')) !== ''
  return {
    ...before,
    ...delays,
    ...cost,
    ...again,
    ...(before.latching === undefined && !latching ? {} : { latching }),
    ...(rule !== 'water-too-hot' || (before.allowForProbe === undefined && allowForProbe)
      ? {}
      : { allowForProbe }),
    enabled: fieldText(form, fieldName(rule, 'enabled')) !== '',
    limit,
    deadband,
    priority: fieldText(form, fieldName(rule, 'priority')) as Alarm['priority'],
  }
}

/** A length of time that is typed in a larger unit; what was left out and is still the usual stays left out. */
function scaled<Part extends 'leastCostS' | 'reAlarmS'>(
  typed: number | null,
  seconds: number,
  part: Part,
  before: number | undefined,
  usual?: number,
): Partial<Record<Part, number>> {
  if (typed === null) return {}
  const kept = Math.round(typed * seconds)
  if (before === undefined && kept === usual) return {}
  return { [part]: typed === (before ?? NaN) / seconds ? before : kept } as Partial<Record<Part, number>>
}
