import { collectDefaultMetrics, Counter, Gauge, openMetricsContentType, Registry } from 'prom-client'
import type { OpenMetricsContentType } from 'prom-client'
import type { IntakeCounts, WebOptions } from './context.ts'

export interface Metrics {
  readonly contentType: string
  text(): Promise<string>
}

/** What `/metrics` tells, in OpenMetrics. Its counters mirror those that intake keeps, at the moment they are asked for. */
export function createMetrics(
  { room, intakeStats }: Pick<WebOptions, 'room' | 'intakeStats'>,
  liveClients: () => number,
): Metrics {
  const registry = new Registry<OpenMetricsContentType>()
  registry.setContentType(openMetricsContentType)
  const registers = [registry]

  const counter = (name: string, help: string, count: (stats: IntakeCounts) => number | undefined) =>
    new Counter({
      name,
      help,
      registers,
      collect() {
        this.reset()
        this.inc(count(intakeStats()) ?? 0)
      },
    })
  counter('brinewatch_packs_total', 'Messages taken in from devices', stats => stats.packs)
  counter('brinewatch_readings_total', 'Readings taken in from devices', stats => stats.readings)
  counter(
    'brinewatch_repeats_total',
    'Messages dropped because they were taken in before',
    stats => stats.repeats,
  )
  counter('brinewatch_acknowledged_total', 'Messages acknowledged', stats => stats.acks)
  counter(
    'brinewatch_not_kept_total',
    'Messages that could not be kept, left unacknowledged',
    stats => stats.notKept,
  )

  const byReason = (name: string, help: string, counts: (stats: IntakeCounts) => IntakeCounts['refused']) =>
    new Counter({
      name,
      help,
      labelNames: ['reason'],
      registers,
      collect() {
        this.reset()
        for (const [reason, count] of Object.entries(counts(intakeStats()) ?? {})) this.inc({ reason }, count)
      },
    })
  byReason(
    'brinewatch_quarantined_total',
    'Messages or parts of them that could not be read',
    stats => stats.quarantined,
  )
  byReason('brinewatch_refused_total', 'Connections and messages turned away', stats => stats.refused)
  new Gauge({
    name: 'brinewatch_devices_connected',
    help: 'Devices connected now',
    registers,
    collect() {
      this.set(intakeStats().clients ?? 0)
    },
  })
  new Gauge({
    name: 'brinewatch_alarms_standing',
    help: 'Alarms that are not back in normal',
    labelNames: ['priority'],
    registers,
    collect() {
      this.reset()
      for (const priority of ['critical', 'high', 'low']) this.set({ priority }, 0)
      for (const { priority } of room.snapshot().alarms) this.inc({ priority })
    },
  })
  new Gauge({
    name: 'brinewatch_live_clients',
    help: 'Screens that follow the live feed',
    registers,
    collect() {
      this.set(liveClients())
    },
  })

  let withProcess = false
  return {
    contentType: registry.contentType,
    text() {
      // Watching the process costs a little; it begins when somebody first looks.
      if (!withProcess) collectDefaultMetrics({ register: registry })
      withProcess = true
      return registry.metrics()
    },
  }
}
