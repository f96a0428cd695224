import type { DeviceConfig } from './api/device-config.ts'

/** What the web needs of whatever tells devices how to measure: it does not know how that is done. */
export interface DeviceSettings {
  /** Revision 0 and the protocol's defaults for a device that nobody has set anything for. */
  of(device: string): DeviceConfig
  /** @throws RoomError of kind `invalid` that names the field. */
  change(device: string, config: Omit<DeviceConfig, 'revision'>): Promise<DeviceConfig>
}
