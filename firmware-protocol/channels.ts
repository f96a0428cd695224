/** What a channel's name says it measures, and the units that are understood for it. */

/** Known by the last part of the name: `water`, `2/water`, `bench:water`. */
export const KnownQuantity = {
  water: 'water',
  room: 'room',
  air: 'air',
  light: 'light',
  level: 'level',
} as const
export type KnownQuantity = (typeof KnownQuantity)[keyof typeof KnownQuantity]

/**
 * Faults that a device may send as text (`"vs"`) where a number should be. Any other text is a fault too, without a
 * name of its own.
 */
export const DeviceFault = {
  fault: 'fault',
  disconnected: 'disconnected',
  powerOn: 'power-on',
} as const
export type DeviceFault = (typeof DeviceFault)[keyof typeof DeviceFault]

interface Unit {
  readonly factor: number
  readonly offset: number
}

/** The unit that each known quantity is kept in. */
export const KEPT_UNIT: Readonly<Record<KnownQuantity, string>> = {
  water: 'Cel',
  room: 'Cel',
  air: 'l/min',
  light: 'lx',
  level: '/',
}

const CELSIUS: Unit = { factor: 1, offset: 0 }
const KELVIN: Unit = { factor: 1, offset: -273.15 }

/** RFC 8428 section 12.1 registers all of these but `l/min`, which flow meters speak. `/` is its unit for a share of one, and for a switch. */
const UNITS: Readonly<Record<KnownQuantity, ReadonlyMap<string, Unit>>> = {
  water: new Map([
    ['Cel', CELSIUS],
    ['K', KELVIN],
  ]),
  room: new Map([
    ['Cel', CELSIUS],
    ['K', KELVIN],
  ]),
  air: new Map([
    ['l/min', { factor: 1, offset: 0 }],
    ['l/s', { factor: 60, offset: 0 }],
    ['m3/s', { factor: 60_000, offset: 0 }],
  ]),
  light: new Map([['lx', { factor: 1, offset: 0 }]]),
  level: new Map([
    ['/', { factor: 1, offset: 0 }],
    ['%', { factor: 0.01, offset: 0 }],
  ]),
}

/** `undefined` for a name that says nothing to us: such a channel is kept and never judged. */
export function quantityOf(name: string): KnownQuantity | undefined {
  // Nearly every name is one of these, and is asked for at every reading.
  if (isQuantity(name)) return name
  const last = name.slice(Math.max(name.lastIndexOf('/'), name.lastIndexOf(':')) + 1)
  return isQuantity(last) ? last : undefined
}

function isQuantity(name: string): name is KnownQuantity {
  switch (name) {
    case 'water':
    case 'room':
    case 'air':
    case 'light':
    case 'level':
      return true
    default:
      return false
  }
}

/** The value in the quantity's kept unit; `undefined` when the unit is not understood. No unit is not a kept unit. */
export function toKeptUnit(quantity: KnownQuantity, unit: string | null, value: number): number | undefined {
  if (unit === KEPT_UNIT[quantity]) return value
  const known = unit === null ? undefined : UNITS[quantity].get(unit)
  return known && value * known.factor + known.offset
}

/**
 * What `true` or `false` of a switch means in the kept unit: water at a float or not. `undefined` where a switch measures nothing.
 */
export function switchValue(quantity: KnownQuantity, on: boolean): number | undefined {
  if (quantity !== KnownQuantity.level) return undefined
  return on ? 1 : 0
}

/** The units understood for a quantity, the kept one first. */
export function unitsOf(quantity: KnownQuantity): string[] {
  return [...UNITS[quantity].keys()]
}
