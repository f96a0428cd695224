import {
  DEFAULT_DEVICE_CONFIG,
  deviceConfig,
  MAX_CONFIG_BYTES,
  type DeviceConfig,
} from '../../firmware-protocol/device-config.ts'
import { RoomError, RoomErrorKind } from '../room/contract.ts'
import type { Store } from '../store/contract.ts'

/** Where the settings of all devices are kept. */
const DOCUMENT = 'device-configs'
/** So many devices may have settings of their own; a fish room has a few dozen. */
export const CONFIGS_LIMIT = 1000

/** What a person may set: all but the number, which counts by itself. */
export type NewDeviceConfig = Omit<DeviceConfig, 'revision'>

export interface ConfigBookParts {
  readonly store: Pick<Store, 'document' | 'keepDocument'>
  /** Told when a device's settings are on disk. */
  readonly onChange: (device: string) => void
}

/** By which settings each device is to measure. One that nobody has set anything for goes by the defaults of the protocol. */
export class ConfigBook {
  readonly #parts: ConfigBookParts
  readonly #configs: Map<string, DeviceConfig>
  /** One change after the other, so that no number is given twice. */
  #changing: Promise<unknown> = Promise.resolve()

  private constructor(parts: ConfigBookParts, configs: Map<string, DeviceConfig>) {
    this.#parts = parts
    this.#configs = configs
  }

  static async open(parts: ConfigBookParts): Promise<ConfigBook> {
    const json = await parts.store.document(DOCUMENT)
    const kept = json === undefined ? {} : (JSON.parse(json) as Record<string, unknown>)
    // What an older version did not know yet has its default.
    return new ConfigBook(
      parts,
      new Map(Object.entries(kept).map(([device, config]) => [device, deviceConfig.parse(config)])),
    )
  }

  /** Revision 0: nobody has set anything. */
  of(device: string): DeviceConfig {
    return this.#configs.get(device) ?? DEFAULT_DEVICE_CONFIG
  }

  has(device: string): boolean {
    return this.#configs.has(device)
  }

  /** Those that somebody has set something for. */
  get devices(): readonly string[] {
    return [...this.#configs.keys()]
  }

  /** @throws RoomError of kind `invalid` or `conflict`. */
  change(device: string, sent: NewDeviceConfig): Promise<DeviceConfig> {
    const mine = this.#changing.then(() => this.#change(device, sent))
    this.#changing = mine.catch(() => undefined)
    return mine
  }

  async #change(device: string, sent: NewDeviceConfig): Promise<DeviceConfig> {
    const { store, onChange } = this.#parts
    if (!this.has(device) && this.#configs.size >= CONFIGS_LIMIT)
      throw new RoomError(
        RoomErrorKind.conflict,
        `Cannot set ${device}: at most ${CONFIGS_LIMIT} devices have settings of their own`,
      )
    const config = checked({ ...sent, revision: this.of(device).revision + 1 })
    const next = new Map(this.#configs).set(device, config)
    await store.keepDocument(DOCUMENT, JSON.stringify(Object.fromEntries(next)))
    this.#configs.set(device, config)
    onChange(device)
    return config
  }
}

function checked(config: DeviceConfig): DeviceConfig {
  const { success, data, error } = deviceConfig.safeParse(config)
  if (!success) {
    const [issue] = error.issues
    throw new RoomError(
      RoomErrorKind.invalid,
      issue?.message ?? 'It does not fit',
      issue?.path.join('.') ?? null,
    )
  }
  const bytes = Buffer.byteLength(JSON.stringify(data))
  if (bytes > MAX_CONFIG_BYTES)
    throw new RoomError(
      RoomErrorKind.invalid,
      `Too much for a device: at most ${MAX_CONFIG_BYTES} bytes, got ${bytes}`,
      'limits',
    )
  return data
}
