import type { IntakeLogger } from './logger.ts'
import type { ExternalIntake } from './external.ts'

/** How long the start waits for an external broker. */
const REACH_MS = 3000

/** Waits a moment for the external broker; one that is away does not keep people from their vessels, wrong credentials do. */
export async function reach(foreign: ExternalIntake, logger: IntakeLogger): Promise<void> {
  const reached = foreign.start()
  const soon = await Promise.race([
    reached.then(() => true),
    new Promise<false>(resolve => setTimeout(resolve, REACH_MS, false)),
  ])
  if (soon) return
  logger.warn({}, 'the MQTT broker cannot be reached; trying on')
  reached.catch((error: unknown) => logger.error({ error }, 'the MQTT broker refuses us'))
}
