import { z } from 'zod'

/** The longest line for a small display. */
export const MAX_ALARM_TEXT = 160
/** More rules, or more channels, than these are left out; the counts still tell all. */
export const MAX_ALARM_RULES = 16
export const MAX_ALARM_CHANNELS = 64

/**
 * On the `alarm` topic, retained: what stands in the vessels that this device has channels in, so that its buzzer can call and
 * its lamp relay can drop. The whole of it each time; fields that are not known here are ignored.
 */
export const deviceAlarm = z
  .object({
    /** How many alarms stand at all. Those that are shelved, suppressed by design or out of service are not counted. */
    standing: z.int().nonnegative(),
    /** How many of them nobody has acknowledged. */
    unacknowledged: z.int().nonnegative(),
    /** The highest priority among those that sound; among all that stand when none sounds; `null` when none stands. */
    priority: z.enum(['critical', 'high', 'low']).nullable(),
    /** The rules that stand, most urgent first, each once. Names not known to the device are to be taken as any alarm. */
    rules: z
      .array(
        z
          .string()
          .min(1)
          .max(40)
          .regex(/^[a-z0-9-]+$/, { error: 'a rule is named in lower-case letters, digits and "-"' }),
      )
      .max(MAX_ALARM_RULES)
      .default([]),
    /** For how long the oldest of them had stood when this was sent, s; `null` when none stands. */
    sinceS: z.int().nonnegative().nullable().default(null),
    /** Whether to sound the buzzer, in the pattern of `priority`. Goes off as soon as somebody acknowledges. */
    sound: z.boolean(),
    /** Whether to keep the lamp's relay open: the water is too hot, or on its way there. Holds when the alarm is silenced. */
    lampOff: z.boolean().default(false),
    /** This device's channels in the vessels that `lampOff` is about, for a device with several lamps. */
    hot: z.array(z.string().min(1).max(128)).max(MAX_ALARM_CHANNELS).default([]),
    /**
     * When this was sent, Unix ms. In a message that was not retained it tells a device without a clock the time, so that it can
     * keep readings over a power cut.
     */
    atMs: z.int().positive().optional(),
    /** A line for a small display. */
    text: z.string().max(MAX_ALARM_TEXT).optional(),
  })
  .refine(alarm => alarm.unacknowledged <= alarm.standing, {
    error: 'no more can be unacknowledged than stand',
    path: ['unacknowledged'],
  })
  .refine(alarm => (alarm.standing === 0) === (alarm.priority === null), {
    error: 'there is a priority exactly when something stands',
    path: ['priority'],
  })
  .refine(alarm => !alarm.sound || alarm.unacknowledged > 0, {
    error: 'nothing sounds that was acknowledged',
    path: ['sound'],
  })
export type DeviceAlarm = z.infer<typeof deviceAlarm>

/** What stands when nothing does. */
export const QUIET: DeviceAlarm = deviceAlarm.parse({
  standing: 0,
  unacknowledged: 0,
  priority: null,
  sound: false,
})

/** The longest alarm payload, bytes: a device may give it a buffer of this size. */
export const MAX_ALARM_BYTES = 12_288
