import { DEFAULT_DEVICE_CONFIG } from '../../firmware-protocol/device-config.ts'
import type { DeviceConfig } from '../../broker/web/api/device-config.ts'
import type { DeviceSettings } from '../../broker/web/device-settings.ts'

/** Settings that are kept as they were sent, and told to nobody. */
export function fakeDeviceSettings(): DeviceSettings {
  const kept = new Map<string, DeviceConfig>()
  const of = (device: string) => kept.get(device) ?? DEFAULT_DEVICE_CONFIG
  return {
    of,
    async change(device, config) {
      kept.set(device, { ...config, revision: of(device).revision + 1 })
      return of(device)
    },
  }
}
