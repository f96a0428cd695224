import { z } from 'zod'
import type { SystemRuleName } from '../alarm.ts'
import { SYSTEM_RULES } from '../alarm.ts'
import { IDLE_TIMER } from '../condition-timer.ts'
import { KeptAlarm, KeptTimer } from '../memory.ts'
import type { SilentMoment, SystemMemory, SystemState } from './contract.ts'

const VERSION = 1
const CALM: SystemState = { timer: IDLE_TIMER, alarm: null }
const KeptMoment = z
  .object({ devices: z.array(z.string()), sinceMs: z.number(), atStart: z.boolean().optional() })
  .transform(({ atStart, ...rest }): SilentMoment => ({ ...rest, ...(atStart && { atStart }) }))
const Kept = z.object({
  version: z.literal(VERSION),
  rules: z.partialRecord(
    z.enum(SYSTEM_RULES),
    z
      .object({ timer: KeptTimer, alarm: KeptAlarm.nullable(), about: z.array(KeptMoment).optional() })
      .transform(({ about, ...rest }): SystemState => ({ ...rest, ...(about && { about }) })),
  ),
})

export const calmSystem = (): SystemMemory => every(() => CALM)

export function encodeSystem(memory: SystemMemory): string {
  return JSON.stringify({ version: VERSION, rules: memory })
}

/** Reads a memory back; text that is none gives a calm one, and what holds is raised anew. */
export function decodeSystem(json: string | undefined): SystemMemory {
  if (json === undefined) return calmSystem()
  let raw: unknown
  try {
    raw = JSON.parse(json)
  } catch {
    return calmSystem()
  }
  const { data } = Kept.safeParse(raw)
  return data === undefined ? calmSystem() : every(name => data.rules[name] ?? CALM)
}

function every(state: (name: SystemRuleName) => SystemState): SystemMemory {
  return Object.fromEntries(SYSTEM_RULES.map(name => [name, state(name)])) as Record<
    SystemRuleName,
    SystemState
  >
}
