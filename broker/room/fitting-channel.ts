import { KEPT_UNIT, quantityOf as quantityNamed } from '../../firmware-protocol/channels.ts'
import type { Role } from '../store/contract.ts'
import { RoomError, RoomErrorKind, type ChannelChange } from './contract.ts'
import { quantityOf, ROLES } from './roles.ts'
import type { VesselLive } from './vessel-live.ts'

/** Each role as a person speaks of it. */
export const ROLE_NAMED: Readonly<Record<Role, string>> = {
  water: 'the water probe',
  'upper-water': 'the upper water probe',
  room: 'the room probe',
  air: 'the air flow',
  light: 'the light',
  level: 'the water level',
}

/**
 * Refuses a channel that measures something else by its name: `2/air` as a water probe. One temperature may stand in for another, a
 * channel whose name says nothing may be anything, and what stands so already stays.
 *
 * @throws RoomError invalid, with the role as its field
 */
export function refuseMisfits({ channels }: Pick<VesselLive, 'channels'>, change: ChannelChange): void {
  for (const role of ROLES) {
    const asked = change.channels[role]
    if (!asked) continue
    const before = channels[role]
    if (before?.device === asked.device && before.channel === asked.channel) continue
    const measures = quantityNamed(asked.channel)
    if (measures === undefined || KEPT_UNIT[measures] === KEPT_UNIT[quantityOf(role)]) continue
    throw new RoomError(
      RoomErrorKind.invalid,
      `Cannot use ${asked.device}/${asked.channel} as ${ROLE_NAMED[role]}: it measures ${measures}`,
      role,
    )
  }
}
