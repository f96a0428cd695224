import { z } from 'zod'

/** On the `alarm` topic, retained: what stands in the vessels of this device, so that its lamp or buzzer can call. */
export const deviceAlarm = z.object({
  /** How many alarms stand that nobody has acknowledged. */
  unacknowledged: z.int().nonnegative(),
  /** How many stand at all. */
  standing: z.int().nonnegative(),
  /** The highest priority among them; `null` when none stands. */
  priority: z.enum(['critical', 'high', 'low']).nullable(),
  /** A line for a small display. */
  text: z.string().max(160).optional(),
})
export type DeviceAlarm = z.infer<typeof deviceAlarm>

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
