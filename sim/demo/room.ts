import { Device } from '../device/device.ts'
import { seededRandom } from '../random.ts'
import { Rig, type RigVessel } from '../rig.ts'
import { World } from '../world.ts'
import { SPARE_DEVICE, SPARE_SCENARIO, type DemoVessel } from './cast.ts'
import type { Program } from './program.ts'

/** Seconds between samplings of the past that is sent first. */
const PAST_INTERVAL_S = 30
/** The spare device has been lying there for so long. */
const SPARE_AGE_H = 0.2
const HOUR_MS = 3_600_000

export interface DemoRoomSetting {
  readonly cast: readonly DemoVessel[]
  readonly program: Program
  readonly passwords: ReadonlyMap<string, string>
  /** The service's clock. */
  readonly now: () => number
  /** When the demo began, by that clock; ages count back from here. */
  readonly beganAtMs: number
  readonly speed: number
  /** Seed of `boot` strings; new at every start. */
  readonly bootSeed: number
}

/** Puts devices on line with their past. They speak before anyone has assigned them, as real ones do. */
export function startRigs(setting: DemoRoomSetting): Rig[] {
  const byDevice = new Map<string, RigVessel[]>()
  for (const { device, prefix, scenario, seed, ageH } of setting.cast) {
    const beginsAtMs = setting.beganAtMs - ageH * HOUR_MS
    const vessel = { world: new World(scenario, { seed, probeOffsetC: 0 }), prefix, beginsAtMs }
    byDevice.set(device, [...(byDevice.get(device) ?? []), vessel])
  }
  byDevice.set(SPARE_DEVICE, [
    {
      world: new World(SPARE_SCENARIO, { seed: 17 }),
      prefix: '',
      beginsAtMs: setting.beganAtMs - SPARE_AGE_H * HOUR_MS,
    },
  ])
  return [...byDevice].map(([name, vessels], index) => {
    const device = new Device({
      name,
      password: setting.passwords.get(name) ?? '',
      host: setting.program.mqttHost,
      port: setting.program.mqttPort,
      now: setting.now,
      random: seededRandom(setting.bootSeed),
      // Both ways of writing a pack are in use, so that both are seen to work.
      format: index % 2 === 0 ? 'json' : 'cbor',
      outboxReadings: 100_000,
      onMeasureNow: () => rig.measureNow(),
    })
    const intervalS = Math.min(60, Math.max(2, setting.speed))
    const rig: Rig = new Rig({
      device,
      vessels,
      intervalS,
      leastIntervalS: intervalS,
      pastIntervalS: PAST_INTERVAL_S,
      now: setting.now,
    })
    rig.playPast()
    rig.start()
    return rig
  })
}

/** Waits until the past of every device is acknowledged. */
export async function pastDelivered(rigs: readonly Rig[], patienceMs: number): Promise<void> {
  const lookMs = 50
  for (let waited = 0; waited < patienceMs; waited += lookMs) {
    if (rigs.every(({ device }) => device.outbox.size < 100)) return
    await new Promise(resolve => setTimeout(resolve, lookMs))
  }
  throw new Error('Cannot furnish the demo: the service did not take the devices’ past in time')
}
