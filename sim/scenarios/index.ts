import type { Scenario } from '../scenario.ts'
import { coldRoom } from './cold-room.ts'
import { healthy } from './healthy.ts'
import { lampDead } from './lamp-dead.ts'
import { lampRelay } from './lamp-relay.ts'
import { lampRunaway } from './lamp-runaway.ts'
import { leak } from './leak.ts'
import { networkOut } from './network-out.ts'
import { probeUnplugged } from './probe-unplugged.ts'
import { pumpFading } from './pump-fading.ts'
import { pumpStopped } from './pump-stopped.ts'

/** Every story, by its name. */
export const SCENARIOS: Readonly<Record<string, Scenario>> = Object.fromEntries(
  [
    healthy,
    lampRunaway,
    lampRelay,
    lampDead,
    pumpStopped,
    pumpFading,
    probeUnplugged,
    networkOut,
    coldRoom,
    leak,
  ].map(scenario => [scenario.name, scenario]),
)

export function scenarioNamed(name: string): Scenario {
  const scenario = Object.hasOwn(SCENARIOS, name) ? SCENARIOS[name] : undefined
  if (scenario) return scenario
  throw new RangeError(
    `Cannot play scenario: it must be one of ${Object.keys(SCENARIOS).join(', ')}, got ${name}`,
  )
}
