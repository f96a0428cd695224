import type { BatchEvent } from '../../broker/web/api/events.ts'

type Count = Extract<BatchEvent, { kind: 'count' }>

/** What was seen, in a line. */
export function seenText(event: BatchEvent): string {
  switch (event.kind) {
    case 'first-swimmers':
      return 'First swimmers'
    case 'note':
      return event.text
    case 'count': {
      const samples = event.samples.length === 1 ? 'one sample' : `${event.samples.length} samples`
      return `Counted ${samples}${event.harvest ? ' at the harvest' : ''}: ${countedText(event.samples)}`
    }
  }
}

/** `212 nauplii, 14 umbrellas, 30 unhatched in 3 mL`; what nobody counted is left out. */
export function countedText(samples: Count['samples']): string {
  const total = (of: (sample: Count['samples'][number]) => number | undefined): number | null =>
    samples.some(sample => of(sample) !== undefined)
      ? samples.reduce((sum, sample) => sum + (of(sample) ?? 0), 0)
      : null
  const umbrellas = total(sample => sample.umbrella)
  const embryos = total(sample => sample.embryos)
  const counted = [
    `${total(sample => sample.nauplii) ?? 0} nauplii`,
    ...(umbrellas === null ? [] : [`${umbrellas} umbrella${umbrellas === 1 ? '' : 's'}`]),
    ...(embryos === null ? [] : [`${embryos} unhatched`]),
  ]
  const ml = samples.reduce((sum, sample) => sum + sample.sampleMl, 0)
  return `${counted.join(', ')} in ${Number(ml.toFixed(3))} mL`
}

/** How many nauplii a count says are in a vessel of so many litres: all samples pooled. */
export function naupliiByCount(samples: Count['samples'], litres: number): number | null {
  const nauplii = samples.reduce((sum, sample) => sum + sample.nauplii, 0)
  // What each sample held of the vessel's own water, mL.
  const ofVesselMl = samples.reduce((sum, sample) => sum + sample.sampleMl / (sample.dilution ?? 1), 0)
  return ofVesselMl > 0 ? (nauplii / ofVesselMl) * litres * 1000 : null
}

/** The first swimmers that stand, if any were seen. */
export function standingFirst(events: readonly BatchEvent[]): BatchEvent | null {
  return events.find(event => event.kind === 'first-swimmers' && event.withdrawnAt === null) ?? null
}
