import type { Scenario } from './scenario.ts'
import type { Truth } from './truth.ts'
import { World, type Measured, type WorldOptions } from './world.ts'

/** One sampling: what the sensors said, and what was really so. */
export interface VirtualSample extends Measured {
  /** Since the cysts were poured in. */
  readonly atS: number
  /** Whether the device could have sent it at that moment. */
  readonly networkUp: boolean
  /** Worked out when asked for; only as of this sampling while `onSample` runs. */
  readonly truth: () => Truth
}

export interface VirtualOptions extends WorldOptions {
  readonly hours: number
  /** Seconds between samplings, and the step of the world. */
  readonly stepS: number
  readonly onSample?: (sample: VirtualSample) => void
}

export interface VirtualResult {
  readonly world: World
  readonly end: Truth
  /** Hours to 10 and 90 % of all that hatched within the run; null when none did. */
  readonly t10H: number | null
  readonly t90H: number | null
}

/** Plays a scenario as fast as the machine can: no network, no waiting, the same for the same seed. */
export function runVirtual(scenario: Scenario, options: VirtualOptions): VirtualResult {
  const { hours, stepS, onSample } = options
  if (!(hours >= 0 && hours <= 1000)) {
    throw new RangeError(`Cannot run a virtual vessel: hours must be 0 to 1000, got ${hours}`)
  }
  if (!(stepS > 0)) {
    throw new RangeError(`Cannot run a virtual vessel: the step must be above 0 s, got ${stepS}`)
  }
  const world = new World(scenario, options)
  const steps = Math.round((hours * 3600) / stepS)
  for (let step = 1; step <= steps; step++) {
    world.step(stepS)
    onSample?.({
      atS: step * stepS,
      networkUp: world.networkUp,
      ...world.measure(),
      truth: () => world.truth(),
    })
  }
  const end = world.truth()
  return { world, end, t10H: end.t10H, t90H: end.t90H }
}
