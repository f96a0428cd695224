import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm, Latest, Settings } from '../../broker/web/api/schemas.ts'
import type { Curve } from '../curves/history.ts'
import type { ConePicture } from '../vessel/cone.ts'
import { pictureOf } from '../vessel/picture.ts'
import { hatchedAt, type Recording, saidAt } from './recording.ts'

const LATEST = {
  water: 'waterC',
  'upper-water': 'upperWaterC',
  room: 'roomC',
  air: 'airLpm',
  light: 'lightLx',
  level: 'levelShare',
} as const

/** The vessel as the room knew it at a moment, Unix ms. */
export function vesselThen({ replay, channels }: Recording, atMs: number): Vessel {
  const roles = Object.keys(LATEST) as Curve[]
  const each = <Of>(of: (role: Curve) => Of) =>
    Object.fromEntries(roles.map(role => [role, of(role)])) as Record<Curve, Of>
  const latest = Object.fromEntries(
    roles.map(role => {
      const said = saidAt(channels[role], atMs)
      const then: Latest | null = said && {
        value: said.value,
        at: new Date(said.atMs).toISOString(),
        quality: 'good',
      }
      return [LATEST[role], then]
    }),
  ) as Vessel['latest']
  const { batch, vessel } = replay
  return {
    id: batch.vesselId,
    name: vessel?.name ?? 'A vessel that is gone',
    litres: vessel?.litres ?? batch.litres / 0.9,
    createdAt: batch.startedAt,
    channels: each(role => (channels[role] ? role : null)),
    offsets: each(() => 0),
    latest,
    batch,
    forecast: null,
    suppression: null,
  }
}

/** The cone as it was: what it was told by then, and what had hatched as it is known now. */
export function pictureThen(
  recording: Recording,
  vessel: Vessel,
  alarms: readonly Alarm[],
  settings: Settings,
  atMs: number,
): ConePicture {
  const picture = pictureOf(vessel, alarms, settings, atMs, true)
  return { ...picture, hatched: hatchedAt(recording.replay.course, atMs) ?? picture.hatched }
}
