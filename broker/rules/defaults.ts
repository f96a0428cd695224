import { Priority } from './alarm.ts'
import type { RulesSettings } from './contract.ts'

const SECOND_MS = 1000
const MINUTE_MS = 60 * SECOND_MS

/**
 * What the rules start with; every value may be changed by the person.
 *
 * - water-too-hot: 29.4 °C (85 °F), common practice, no source: a cautious limit, not the temperature that kills. At once,
 *   because the person is to be told within a second of the reading that crossed it. Deadband 1 % of the value (from memory).
 * - water-too-cool: 24 °C. Below 25 °C hatching is slower (FAO Fisheries Technical Paper 361); a degree of leeway is an own
 *   choice. It waits 15 minutes: a topped-up or newly filled vessel warms by itself.
 * - air-lost: 0.05 l/min per litre of water, own choice: six times the 8.3 mL/min per litre that FAO Fisheries Technical Paper
 *   361 gives as a plant's minimum, because a cone's cysts must also be kept in suspension. 15 s (from memory). It must be back for
 *   three minutes, because a pump that fades hovers about the limit.
 * - light-out: 200 lx, own choice: a tenth of the about 2,000 lx at the surface that FAO Fisheries Technical Paper 361 wants in the
 *   first hours; a light sensor stands off to the side and a shadow passes, so 5 minutes.
 * - water-heading-hot: crosses its heat limit within 30 minutes, seen at two looks. Own choice: time to cross a town, and near
 *   enough that a door left open does not look like it. As loud as water-too-hot: minutes decide, and it is the same call.
 * - water-too-cool also asks what it costs: below an hour nobody is called (own choice: feeding times are no stricter).
 * - air-fading: 80 % of the air that had settled, and still falling. Own choice: pumps and valves wander by less.
 * - water-level: 80 % of where the water stood. Own choice: evaporation takes less in a batch, and what is lost of more is to be
 *   found before the rest follows. A minute, because bubbles heave the surface.
 * - probe-fault: any fault for two minutes, so that a single bad reading of a device that sends once a minute is nothing to get
 *   up for. probe-out-of-water: a minute, because intake has watched the fall already. They have no limit.
 * - device-silent: 180 s without being heard.
 * - harvest-missed: half an hour past the window, in which usable food is within 5 % of its best. Own choice.
 * - power-lost: two devices or more silent for 100 s since the same moment: before each is called silent by itself.
 * - disk-full: a minute, so that a database that is being copied does not call. store-slow: a commit that takes 5 s where
 *   thousands a second are usual; for a minute. clock-jumped: 60 s against the monotonic clock, what is more than any time
 *   server slews in one step. channel-failing: as soon as delivery says so. Own choices.
 * - backup-overdue: a day after one was due, so that a disk that is full for an evening does not call. data-restored: at once.
 */
export const defaultRules: RulesSettings = {
  'water-heading-hot': {
    enabled: true,
    limit: 30,
    deadband: 15,
    onDelayMs: 0,
    offDelayMs: 5 * MINUTE_MS,
    priority: Priority.critical,
  },
  'water-too-hot': {
    enabled: true,
    limit: 29.4,
    deadband: 0.3,
    onDelayMs: 0,
    offDelayMs: MINUTE_MS,
    priority: Priority.critical,
  },
  'water-too-cool': {
    enabled: true,
    limit: 24,
    deadband: 0.3,
    onDelayMs: 15 * MINUTE_MS,
    offDelayMs: 5 * MINUTE_MS,
    priority: Priority.low,
    leastCostMs: 60 * MINUTE_MS,
  },
  'air-lost': {
    enabled: true,
    limit: 0.05,
    deadband: 0.01,
    onDelayMs: 15 * SECOND_MS,
    offDelayMs: 3 * MINUTE_MS,
    priority: Priority.high,
  },
  'air-fading': {
    enabled: true,
    limit: 80,
    deadband: 10,
    onDelayMs: MINUTE_MS,
    offDelayMs: 10 * MINUTE_MS,
    priority: Priority.high,
  },
  'light-out': {
    enabled: true,
    limit: 200,
    deadband: 50,
    onDelayMs: 5 * MINUTE_MS,
    offDelayMs: MINUTE_MS,
    priority: Priority.low,
  },
  'water-level': {
    enabled: true,
    limit: 80,
    deadband: 10,
    onDelayMs: MINUTE_MS,
    offDelayMs: 2 * MINUTE_MS,
    priority: Priority.high,
  },
  'probe-fault': {
    enabled: true,
    limit: 0,
    deadband: 0,
    onDelayMs: 2 * MINUTE_MS,
    offDelayMs: MINUTE_MS,
    priority: Priority.high,
  },
  'probe-out-of-water': {
    enabled: true,
    limit: 0,
    deadband: 0,
    onDelayMs: MINUTE_MS,
    offDelayMs: MINUTE_MS,
    priority: Priority.high,
  },
  'device-silent': {
    enabled: true,
    limit: 180,
    deadband: 0,
    onDelayMs: 0,
    offDelayMs: 10 * SECOND_MS,
    priority: Priority.high,
  },
  'harvest-missed': {
    enabled: true,
    limit: 30,
    deadband: 0,
    onDelayMs: 0,
    offDelayMs: MINUTE_MS,
    priority: Priority.high,
  },
  'power-lost': {
    enabled: true,
    limit: 100,
    deadband: 0,
    onDelayMs: 0,
    offDelayMs: 10 * SECOND_MS,
    priority: Priority.critical,
  },
  'disk-full': {
    enabled: true,
    limit: 0,
    deadband: 0,
    onDelayMs: MINUTE_MS,
    offDelayMs: MINUTE_MS,
    priority: Priority.high,
  },
  'store-slow': {
    enabled: true,
    limit: 5,
    deadband: 4,
    onDelayMs: MINUTE_MS,
    offDelayMs: 5 * MINUTE_MS,
    priority: Priority.low,
  },
  'clock-jumped': {
    enabled: true,
    limit: 60,
    deadband: 0,
    onDelayMs: 0,
    offDelayMs: 10 * MINUTE_MS,
    priority: Priority.low,
  },
  'channel-failing': {
    enabled: true,
    limit: 0,
    deadband: 0,
    onDelayMs: 0,
    offDelayMs: MINUTE_MS,
    priority: Priority.high,
  },
  'backup-overdue': {
    enabled: true,
    limit: 24,
    deadband: 0,
    onDelayMs: 0,
    offDelayMs: 0,
    priority: Priority.low,
  },
  'data-restored': {
    enabled: true,
    limit: 0,
    deadband: 0,
    onDelayMs: 0,
    offDelayMs: 0,
    priority: Priority.high,
  },
}
