import type { DeviceRegistry } from './intake/outlet.ts'
import { secretMatches } from './secrets.ts'
import type { Store } from './store/contract.ts'

/** What intake asks about devices, answered by the store. */
export function registryOver(store: Store, bridge?: NonNullable<DeviceRegistry['bridge']>): DeviceRegistry {
  return {
    async verify(device, password) {
      const hash = await store.deviceSecret(device)
      return hash !== undefined && secretMatches(password, hash)
    },
    seen: (device, boot) => store.seen(device, boot),
    channels: device => store.channels(device),
    ...(bridge && { bridge }),
  }
}
