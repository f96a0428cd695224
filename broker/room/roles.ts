import type { Quantity } from '../intake/reading.ts'
import { Role } from '../store/contract.ts'

export const ROLES: readonly Role[] = [
  Role.water,
  Role.upperWater,
  Role.room,
  Role.air,
  Role.light,
  Role.level,
]

/** Builds a record with one entry a role. */
export function eachRole<T>(make: (role: Role) => T): Record<Role, T> {
  return {
    water: make('water'),
    'upper-water': make('upper-water'),
    room: make('room'),
    air: make('air'),
    light: make('light'),
    level: make('level'),
  }
}

/** What a channel in this role measures. */
export const quantityOf = (role: Role): Exclude<Quantity, 'other'> =>
  role === Role.upperWater ? 'water' : role
