import { MEASURES, type Measure } from './measures.ts'

/** A unit at a word's end, told from the word by its case: `waterF`, and not `shelf`. */
const CAPITAL_F = /[a-z0-9]F$/
/** `temp_F`, `temp-f`, `tempf`, `degF`, `F`, `Fahrenheit`. */
const SOME_F = /fahrenheit|(?:^|[^A-Za-z0-9])f$|(?:temp|temperature|deg)f$/i

/** What a number most likely is, by the names that lead to it: its topic's last level and its own in the document. */
export function guessMeasure(topic: string, pointer: string | null): Measure {
  const names = [topic.split('/').findLast(level => !/^(?:state|value|)$/i.test(level)), lastOf(pointer)]
  const inF = names.some(name => name !== undefined && (CAPITAL_F.test(name) || SOME_F.test(name)))
  return MEASURES.find(({ id }) => id === (inF ? 'water-f' : 'water-c'))!
}

const lastOf = (pointer: string | null): string | undefined => pointer?.split('/').at(-1)

/** Beyond these a value is no vessel's. Own choice, wide: brine freezes below −2 °C, and at 45 °C nothing in it lives. */
const WATER_C = [-5, 45] as const
/** Own choice, wide. */
const ROOM_C = [-40, 60] as const

/** Why a number, read so, can hardly be what it is said to be; `null` when it may be. */
export function unlikely(measure: Measure, scale: number, offset: number, value: number): string | null {
  const scaled = value * scale + offset
  const kept = measure.unit === 'K' ? scaled - 273.15 : scaled
  const shown = Number(kept.toFixed(2))
  const { role, unit } = measure
  if (role === 'water' || role === 'room') {
    const [least, most] = role === 'water' ? WATER_C : ROOM_C
    if (kept >= least && kept <= most) return null
    const asF = ((value - 32) * 5) / 9
    const hint =
      measure.id.endsWith('-c') && asF >= 0 && asF <= most ? ' Is it in °F?' : ' Is its unit right?'
    return `${shown} °C cannot be ${role === 'water' ? 'a vessel’s water' : 'a room'}.${hint}`
  }
  if (kept < 0) return `${shown} is less than nothing.`
  const most = unit === '%' ? 100 : unit === '/' ? 1 : Infinity
  return kept > most ? `${shown} is more than full.` : null
}
