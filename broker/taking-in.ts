import type { Led } from './crew/led.ts'
import type { Flags } from './flags.ts'
import { createEmbeddedIntake, type EmbeddedIntake, type EmbeddedIntakeOptions } from './intake/embedded.ts'
import { createExternalIntake, STATES, type ExternalIntake } from './intake/external.ts'

interface Parts {
  readonly registry: EmbeddedIntakeOptions['registry']
  readonly outlet: EmbeddedIntakeOptions['outlet']
  /** Keeps and does not judge: for what devices tell of themselves where other workers take the measurements in. */
  readonly keeping: EmbeddedIntakeOptions['outlet']
  readonly clock: EmbeddedIntakeOptions['clock']
  readonly adoptions: NonNullable<EmbeddedIntakeOptions['adoptions']>
  readonly seen: NonNullable<EmbeddedIntakeOptions['seen']>
  readonly logger: NonNullable<EmbeddedIntakeOptions['logger']>
  readonly tls: NonNullable<EmbeddedIntakeOptions['tls']> | null
  readonly maxConnections: number
  readonly led: Led | null
  /** The external broker is there again, and may have forgotten what was retained. */
  readonly onUp: () => void
}

/** How readings come in: by a broker of this process, or by one that is there already. One of the two is `null`. */
export function takingIn(
  { mqttUrl }: Pick<Flags, 'mqttUrl'>,
  { registry, outlet, keeping, clock, adoptions, seen, logger, tls, maxConnections, led, onUp }: Parts,
): { own: EmbeddedIntake | null; foreign: ExternalIntake | null } {
  const shared = { registry, clock, adoptions, seen, logger }
  if (mqttUrl === null) {
    const own = createEmbeddedIntake({ ...shared, outlet, maxConnections, ...(tls && { tls }) })
    return { own, foreign: null }
  }
  // Measurements come by the sessions that all workers share.
  const from = led ? { outlet: keeping, clientId: led.clientId, filters: [STATES] } : { outlet }
  return { own: null, foreign: createExternalIntake({ ...shared, ...from, url: mqttUrl, onUp }) }
}
