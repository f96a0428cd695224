import { Role } from '../store/contract.ts'

export const ROLES: readonly Role[] = [Role.water, Role.room, Role.air, Role.light, Role.level]

/** Builds a record with one entry a role. */
export function eachRole<T>(make: (role: Role) => T): Record<Role, T> {
  return {
    water: make('water'),
    room: make('room'),
    air: make('air'),
    light: make('light'),
    level: make('level'),
  }
}
