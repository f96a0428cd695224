import { z } from 'zod'

/** Limits that the device watches by itself, in the channel's kept unit, so that it can call even without a broker. */
export const localLimits = z
  .object({ low: z.number().optional(), high: z.number().optional() })
  .refine(limits => limits.low === undefined || limits.high === undefined || limits.low < limits.high, {
    error: 'low must be below high',
  })

/** What the broker tells a device on its `config` topic: JSON, retained, the whole of it each time. */
export const deviceConfig = z.object({
  /** Counts up with every change, so that a device can tell a new one. */
  revision: z.int().nonnegative().default(0),
  /** How often sensors are read. A DS18B20 at 12 bits takes 0.75 s (its datasheet), so no faster than once a second. */
  sampleIntervalS: z.int().min(1).max(3600).default(1),
  /** How often a pack is sent; it carries every sample taken since the last one. */
  reportIntervalS: z.int().min(1).max(3600).default(5),
  /** How often the device's state is sent while nothing changes. */
  stateIntervalS: z.int().min(10).max(3600).default(60),
  /** After so long without a PUBACK the device sounds its own buzzer; 0 turns that off. */
  silentBrokerMinutes: z.int().min(0).max(1440).default(10),
  /** By channel name: `{"water":{"high":29.4}}`. */
  limits: z.record(z.string().min(1).max(128), localLimits).default({}),
})
export type DeviceConfig = z.infer<typeof deviceConfig>

/** What a device does before it has heard any config. */
export const DEFAULT_DEVICE_CONFIG: DeviceConfig = deviceConfig.parse({})
