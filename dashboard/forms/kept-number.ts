import type { TemperatureUnit } from '../words/temperature.ts'

/** What kind of number a field takes. A closed set; only temperatures are typed in another unit than they are kept in. */
export const Kind = { plain: 'plain', temperature: 'temperature', difference: 'difference' } as const
export type Kind = (typeof Kind)[keyof typeof Kind]

const hundredth = (value: number): number => Math.round(value * 100) / 100

/**
 * A kept number as its field shows it: °C as it is kept, to a hundredth; °F to a tenth, which is finer than any probe here tells;
 * what is no temperature as it is.
 */
export function shownNumber(kept: number, kind: Kind, unit: TemperatureUnit): number {
  if (kind === Kind.plain) return Number(kept.toPrecision(10))
  if (unit === 'C') return hundredth(kept)
  return Number((kind === Kind.temperature ? kept * 1.8 + 32 : kept * 1.8).toFixed(1))
}

/**
 * The number to keep for one that was typed. What reads the same as what the field shows keeps its exact
 * value, so that a form that is saved unread changes nothing; other temperatures are kept to 0.01 °C.
 */
export function keptNumber(typed: number, before: number, kind: Kind, unit: TemperatureUnit): number {
  const shown = shownNumber(before, kind, unit)
  if (typed === shown) return before
  if (kind === Kind.plain) return typed
  if (unit === 'C') return hundredth(typed)
  return hundredth(kind === Kind.temperature ? (typed - 32) / 1.8 : typed / 1.8)
}
