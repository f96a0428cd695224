import { z } from 'zod'

/** Limits that the device watches by itself, in the channel's kept unit, so that it can call even without a broker. */
export const localLimits = z
  .object({ low: z.number().optional(), high: z.number().optional() })
  .refine(limits => limits.low === undefined || limits.high === undefined || limits.low < limits.high, {
    error: 'low must be below high',
  })
export type LocalLimits = z.infer<typeof localLimits>

/** How many channels a device watches by itself at most: a small board has to hold them. */
export const MAX_LOCAL_LIMITS = 64

/** All but the revision. */
export const deviceConfigFields = {
  /** How often sensors are read. A DS18B20 at 12 bits takes 0.75 s (its datasheet), so no faster than once a second. */
  sampleIntervalS: z.int().min(1).max(3600).default(1),
  /** How often a pack is sent; it carries every sample taken since the last one. */
  reportIntervalS: z.int().min(1).max(3600).default(5),
  /** How often the device's state is sent while nothing changes. */
  stateIntervalS: z.int().min(10).max(3600).default(60),
  /** After so long without a PUBACK for a pack the device sounds its own buzzer; 0 turns that off. */
  silentBrokerMinutes: z.int().min(0).max(1440).default(10),
  /** By channel name: `{"water":{"high":29.4}}`. */
  limits: z
    .record(z.string().min(1).max(128), localLimits)
    .refine(limits => Object.keys(limits).length <= MAX_LOCAL_LIMITS, {
      error: `limits for at most ${MAX_LOCAL_LIMITS} channels`,
    })
    .default({}),
}

/** A device that sends too seldom cannot tell a silent broker from having asked it nothing. */
export const silenceFits = (config: {
  readonly silentBrokerMinutes: number
  readonly reportIntervalS: number
}): boolean => config.silentBrokerMinutes <= 0 || config.silentBrokerMinutes * 60 > 2 * config.reportIntervalS
export const SILENCE_MUST_FIT = 'silentBrokerMinutes must be 0, or longer than two report intervals'

/** What the broker tells a device on its `config` topic: JSON, retained, the whole of it each time. */
export const deviceConfig = z
  .object({
    /** Counts up with every change, so that a device can tell a new one. */
    revision: z.int().nonnegative().default(0),
    ...deviceConfigFields,
  })
  .refine(silenceFits, { error: SILENCE_MUST_FIT, path: ['silentBrokerMinutes'] })
export type DeviceConfig = z.infer<typeof deviceConfig>

/** What a device does before it has heard any config. */
export const DEFAULT_DEVICE_CONFIG: DeviceConfig = deviceConfig.parse({})

/** The longest config payload, bytes: a device may give it a buffer of this size. */
export const MAX_CONFIG_BYTES = 16_384
