import type { DeviceCommand } from '../../firmware-protocol/device-orders.ts'
import { setupPage } from '../../firmware-protocol/pairing.ts'
import { isDeviceName, TopicKind, topicOf } from '../../firmware-protocol/topics.ts'
import type { Clock } from '../clock.ts'
import type { NewCode } from '../pairing-code.ts'
import { RoomError, RoomErrorKind, type Room } from '../room/contract.ts'
import { hashSecret, newSecret as randomSecret, type NewSecret } from '../secrets.ts'
import type { DeviceRow, Store } from '../store/contract.ts'
import {
  makeCode,
  offerPassword,
  redeemCode,
  voidCodes,
  type Credential,
  type PairingCode,
} from './pairing.ts'

export interface DeviceDeskParts {
  readonly store: Store
  readonly room: Pick<Room, 'snapshot'>
  readonly clock: Clock
  /** Has the room read the list of devices anew. */
  readonly listChanged: () => Promise<void>
  /** A code was redeemed for a device, which is then on the list with another password waiting. */
  readonly paired?: (device: string, atMs: number) => Promise<void>
  /** Ends a device's connections. Without it devices sign in at a broker that is not ours. */
  readonly expel?: (device: string) => void
  /** Publishes without retain. */
  readonly publish: (topic: string, payload: string) => Promise<void>
  /** Where devices reach the dashboard, `host:port`, the likeliest first. */
  readonly addresses: () => readonly string[]
  readonly newSecret?: NewSecret
  readonly newCode?: NewCode
}

/** Lets devices in, gives them other passwords, and shows them the door. Devices of another broker are that broker's to let in. */
export class DeviceDesk {
  readonly #parts: DeviceDeskParts
  constructor(parts: DeviceDeskParts) {
    this.#parts = parts
  }

  /**
   * A code to be typed at the device. A device that is not known yet is let in, with a password that nobody has.
   * @param fresh refuses a name that a device has
   */
  async code(device: string, { fresh = false } = {}): Promise<PairingCode & { pages: string[] }> {
    this.#mustBeOurs()
    const { store, clock, newSecret = randomSecret, newCode, listChanged, addresses } = this.#parts
    const row = await this.#row(device)
    if (row === undefined || row.revokedAtMs !== null)
      await store.addDevice({ name: device, secretHash: hashSecret(newSecret()), createdAtMs: clock() })
    else if (fresh) throw taken(device)
    const made = await makeCode(store, device, clock(), newCode)
    await listChanged()
    return { ...made, pages: addresses().map(at => setupPage(made.code, at)) }
  }

  /** `null` for a code that is not good. */
  async redeem(code: string): Promise<Credential | null> {
    this.#mustBeOurs()
    const { store, clock, newSecret, listChanged, paired } = this.#parts
    const credential = await redeemCode(store, code, clock(), newSecret)
    if (credential && paired) await paired(credential.device, clock())
    else await listChanged()
    return credential
  }

  /** A new password to be put into the device by hand. */
  async password(device: string): Promise<Credential> {
    this.#mustBeOurs()
    const { store, clock, newSecret, listChanged } = this.#parts
    const credential = await offerPassword(store, device, clock(), newSecret)
    if (!credential) throw unknown(device)
    await listChanged()
    return credential
  }

  /** It may speak no more, from this moment on. */
  async revoke(device: string): Promise<void> {
    const { store, clock, expel, listChanged } = this.#parts
    if (!(await store.revokeDevice?.(device, clock()))) throw unknown(device)
    expel?.(device)
    await voidCodes(store, device)
    await listChanged()
  }

  /** Takes a revoked device off the list; what it sent is kept. */
  async remove(device: string): Promise<void> {
    const { store, clock, listChanged } = this.#parts
    if (!(await store.removeDevice?.(device, clock()))) {
      if ((await this.#row(device))?.revokedAtMs === null)
        throw new RoomError(RoomErrorKind.conflict, `Cannot remove ${device}: revoke it first`)
      throw unknown(device)
    }
    await listChanged()
  }

  /** Tells a device to do something once. Refused while it is not connected: nothing would hear it. */
  async command(device: string, command: DeviceCommand): Promise<void> {
    const known = this.#parts.room.snapshot().devices.find(each => each.row.name === device)
    if (!known || known.row.revokedAtMs !== null) throw unknown(device)
    if (!known.online)
      throw new RoomError(
        RoomErrorKind.conflict,
        `Cannot tell ${device}: it is off line and would not hear it`,
      )
    await this.#parts.publish(topicOf(device, TopicKind.command), JSON.stringify(command))
  }

  async #row(device: string): Promise<DeviceRow | undefined> {
    if (!isDeviceName(device)) throw unknown(device)
    return (await this.#parts.store.devices()).find(each => each.name === device)
  }

  #mustBeOurs(): void {
    if (this.#parts.expel) return
    throw new RoomError(
      RoomErrorKind.conflict,
      'Cannot give passwords: devices sign in at the MQTT broker that was named with --mqtt-url; give them there',
    )
  }
}

const unknown = (device: string) =>
  new RoomError(RoomErrorKind.notFound, `Cannot find device: none that may speak is named ${device}`)
const taken = (device: string) =>
  new RoomError(RoomErrorKind.conflict, `Cannot add device: its name must be free, got ${device}`, 'name')
