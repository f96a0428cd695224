import type { NewAdoptedTopic } from '../../broker/web/api/topics.ts'
import { ROLE_WORDS, type Role } from '../words/channel.ts'

/** What a number of somebody else's may be, and what makes it what brinewatch keeps. */
export interface Measure {
  readonly id: string
  readonly text: string
  readonly role: Role
  readonly unit: string
  readonly scale: number
  readonly offset: number
}

const measure = (role: Role, id: string, name: string, unit: string, scale = 1, offset = 0): Measure => ({
  id: `${role}-${id}`,
  text: `${ROLE_WORDS[role]}, ${name}`,
  role,
  unit,
  scale,
  offset,
})
const warmth = (role: 'water' | 'room'): Measure[] => [
  measure(role, 'c', '°C', 'Cel'),
  measure(role, 'f', '°F', 'Cel', 5 / 9, (-32 * 5) / 9),
  measure(role, 'tenths', 'tenths of a °C', 'Cel', 0.1),
  measure(role, 'hundredths', 'hundredths of a °C', 'Cel', 0.01),
  measure(role, 'k', 'kelvin', 'K'),
]

export const MEASURES: readonly Measure[] = [
  ...warmth('water'),
  ...warmth('room'),
  measure('air', 'lpm', 'l/min', 'l/min'),
  measure('air', 'lph', 'l/h', 'l/min', 1 / 60),
  measure('light', 'lx', 'lx', 'lx'),
  measure('level', 'percent', '% of full', '%'),
  measure('level', 'share', 'share of full, 0 to 1', '/'),
]

/** What is shown of a number once it is read so, in the unit it is kept in. */
export function shownAs({ unit, role }: Measure, scale: number, offset: number, value: number): string {
  const scaled = value * scale + offset
  const kept = unit === 'K' ? scaled - 273.15 : unit === '%' ? scaled : scaled
  const words = role === 'water' || role === 'room' ? '°C' : unit === '/' ? 'of full' : unit
  return `${Number(kept.toFixed(2))} ${words}`
}

/** A name for the device that a topic becomes: its last telling level. */
export function nameFor(topic: string): string {
  const levels = topic.split('/').filter(level => /[A-Za-z0-9]/.test(level))
  const telling = levels.filter(
    level => !/^(state|value|sensor|sensors|telemetry|data|temperature|tele)$/i.test(level),
  )
  const level = telling.at(-1) ?? levels.at(-1) ?? 'sensor'
  return (
    level
      .replace(/[^A-Za-z0-9_-]+/g, '-')
      .replace(/^[^A-Za-z0-9]+/, '')
      .slice(0, 63) || 'sensor'
  )
}

export type Sent = NewAdoptedTopic
