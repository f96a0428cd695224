import { z } from 'zod'

/** On the `command` topic, QoS 1, never retained: something to do once. Unknown commands are ignored. */
export const deviceCommand = z.discriminatedUnion('command', [
  /** Blink, so that a person finds this device among many. */
  z.object({ command: z.literal('identify'), seconds: z.int().min(1).max(600).default(30) }),
  /** Read all sensors and send a pack and the state now. */
  z.object({ command: z.literal('report') }),
  /** Keep the outbox, then restart. */
  z.object({ command: z.literal('restart') }),
])
export type DeviceCommand = z.infer<typeof deviceCommand>
