import { z } from '@hono/zod-openapi'
import {
  deviceConfigFields,
  SILENCE_MUST_FIT,
  silenceFits,
} from '../../../firmware-protocol/device-config.ts'
import { isDeviceName } from '../../../firmware-protocol/topics.ts'

/** By which settings a device is to measure: as it is told on its topic, and kept. */
export const DeviceConfig = z
  .object({
    revision: z.int().nonnegative().openapi({
      description: 'Counts changes. The device tells in its `configRevision` which it has taken; 0: its own.',
    }),
    ...deviceConfigFields,
  })
  .openapi('DeviceConfig')
export type DeviceConfig = z.infer<typeof DeviceConfig>

export const ChangeDeviceConfig = z
  .object(deviceConfigFields)
  .refine(silenceFits, { error: SILENCE_MUST_FIT, path: ['silentBrokerMinutes'] })
  .openapi('ChangeDeviceConfig')
export type ChangeDeviceConfig = z.infer<typeof ChangeDeviceConfig>

export const ByDevice = z.object({
  name: z
    .string()
    .refine(isDeviceName, 'Cannot find device: this is not the name of one')
    .openapi({ param: { name: 'name', in: 'path' }, example: 'bench-1' }),
})
