import type { Clock } from './clock.ts'
import type { DeviceRegistry } from './intake/outlet.ts'
import { secretMatches } from './secrets.ts'
import type { Store } from './store/contract.ts'

export interface RegistryParts {
  readonly clock: Clock
  /** A device has signed in with its new password, so the one before is good no more. */
  readonly onNewSecret: (device: string) => void
  readonly logger: { error(facts: object, text: string): void }
}

/** What intake asks about devices, answered by the store. Without parts a new password that was offered is not taken. */
export function registryOver(
  store: Store,
  bridge?: NonNullable<DeviceRegistry['bridge']>,
  parts?: RegistryParts,
): DeviceRegistry {
  return {
    async verify(device, password) {
      if (!parts || !store.deviceSecrets || !store.takeDeviceSecret) {
        const hash = await store.deviceSecret(device)
        return hash !== undefined && secretMatches(password, hash)
      }
      const secrets = await store.deviceSecrets(device)
      if (!secrets) return false
      if (secretMatches(password, secrets.current)) return true
      const { offered } = secrets
      if (!offered || parts.clock() >= offered.untilMs || !secretMatches(password, offered.secretHash))
        return false
      try {
        await store.takeDeviceSecret(device, offered.secretHash)
        parts.onNewSecret(device)
      } catch (error) {
        // The password is right. That the one before is good for longer is better than a device that is shut out.
        parts.logger.error({ error, device }, 'a new password could not be put in place of the one before')
      }
      return true
    },
    seen: (device, boot) => store.seen(device, boot),
    channels: device => store.channels(device),
    ...(bridge && { bridge }),
  }
}
