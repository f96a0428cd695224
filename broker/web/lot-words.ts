import type { LotReason, LotSummary } from '../hatch/lot/summary.ts'

/** What is known of a lot, in plain words with its numbers. */
export function lotWords(summary: LotSummary): string {
  const { doubted } = summary
  if (doubted === 0) return verdictWords(summary)
  const one = doubted === 1
  return `${verdictWords(summary)} ${one ? 'One count does not fit the others and weighs' : `${doubted} counts do not fit the others and weigh`} little in its forecasts: an unlucky batch, or a slip in what was sampled, its millilitres or the litres.`
}

function verdictWords({ reason, batches, observations }: LotSummary): string {
  switch (reason.name) {
    case 'never-observed':
      return 'Nothing was seen of it yet. Count one batch and its times become surer.'
    case 'few-counts':
      return reason.counts === 0
        ? `Seen in ${times(batches, 'batch', 'batches')}, never counted. Count the next harvest.`
        : 'Counted in one batch. One more and it is known.'
    case 'counted':
      return `Counted in ${times(reason.counts, 'batch', 'batches')}, ${times(observations, 'observation')} in all: steady.`
    case 'hatches-less':
      return `Its last ${reason.batches} batches hatched about ${percent(reason.to)} of their cysts, after ${percent(reason.from)} before. ${chance(reason)} Clean the vessel first; if it stays so, the lot has aged or got damp.`
    case 'hatches-later':
      return `Its last ${reason.batches} batches took ${percent(reason.to / reason.from - 1)} longer than it used to. ${chance(reason)} Check the probe against a second thermometer first.`
    case 'hardly-hatches':
      return `Counted in ${times(reason.counts, 'batch', 'batches')}: only about ${percent(reason.share)} of its cysts hatch. Try another lot.`
  }
}

function times(count: number, one: string, several = `${one}s`): string {
  return `${count} ${count === 1 ? one : several}`
}

const percent = (share: number): string => `${Math.round(100 * share)} %`

function chance({ chance: share }: Extract<LotReason, { chance: number }>): string {
  const oneIn = 1 / Math.max(share, 1e-6)
  return `By chance that happens once in ${oneIn >= 1000 ? 'a thousand times or more' : `${Math.round(oneIn)} times`}.`
}
