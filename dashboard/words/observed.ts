import type { BatchEvent } from '../../broker/web/api/events.ts'
import { temperatureText, type TemperatureUnit } from './temperature.ts'

type Observed = Exclude<BatchEvent, { kind: 'first-swimmers' | 'count' | 'note' }>

const PLAIN = {
  'ring-knocked-down': 'Ring of cysts knocked down',
  foam: 'Foam',
  leak: 'A leak',
  'air-off': 'Air off',
  'air-on': 'Air on again',
  'light-below': 'Light below only',
  settled: 'Settled',
  'drawn-off': 'Drawn off until clear',
} as const

/** What nauplii were taken for. */
export const TAKEN_FOR = { fed: 'Fed', held: 'Put in the cold', discarded: 'Discarded' } as const

const number = (value: number): string => Number(value.toPrecision(3)).toLocaleString('en-US')

/** What was seen, measured or done, in a line; in both units, the reader's first. */
export function observedText(event: Observed, unit: TemperatureUnit = 'C'): string {
  const more = 'words' in event && event.words ? `: ${event.words}` : ''
  return `${bare(event, unit)}${more}`
}

function bare(event: Observed, unit: TemperatureUnit): string {
  switch (event.kind) {
    case 'ph':
      return `pH ${event.ph}`
    case 'salinity':
      return `Salinity ${event.salinityGpl} g/L by ${event.how === 'other' ? 'hand' : event.how}`
    case 'temperature':
      return `Water ${temperatureText(event.waterC, unit)} by a thermometer in the hand`
    case 'taken': {
      const many = event.nauplii === null ? '' : ` ${number(event.nauplii)} nauplii`
      const share =
        event.share === null ? '' : `${many === '' ? ' ' : ', '}${Math.round(100 * event.share)} %`
      return `${TAKEN_FOR[event.for]}${many}${share}`
    }
    case 'photo':
      return 'Photo'
    case 'set-up':
      return `Set up in ${event.steps.length} step${event.steps.length === 1 ? '' : 's'}`
    case 'corrected':
      return `Corrected ${Object.keys(event.after)
        .map(name => FIELDS[name] ?? name)
        .join(', ')}`
    default:
      return PLAIN[event.kind]
  }
}

const FIELDS: Readonly<Record<string, string>> = {
  startedAt: 'the start',
  endedAt: 'the end',
  litres: 'the litres',
  cystsG: 'the cysts',
  salinityGpl: 'the salt',
  lot: 'the lot',
  goal: 'the goal',
  note: 'the note',
}
