import type { RoomSettings } from '../../broker/room/contract.ts'
import type { RuleSettings } from '../../broker/rules/contract.ts'

const rule = (limit: number): RuleSettings => ({
  enabled: true,
  limit,
  deadband: 0.3,
  onDelayMs: 60_000,
  offDelayMs: 30_500,
  priority: 'high',
})

export const SETTINGS: RoomSettings = {
  temperatureUnit: 'C',
  retentionDays: 90,
  altitudeM: 0,
  rules: {
    'water-heading-hot': rule(30),
    'water-too-hot': rule(29.4),
    'water-too-cool': { ...rule(20), leastCostMs: 3_600_000 },
    'air-lost': rule(0.1),
    'air-fading': rule(80),
    'light-out': rule(200),
    'water-level': rule(80),
    'probe-fault': rule(0),
    'probe-out-of-water': rule(0),
    'device-silent': rule(120),
    'harvest-missed': rule(30),
    'power-lost': rule(100),
    'disk-full': rule(0),
    'store-slow': rule(5),
    'clock-jumped': rule(60),
    'channel-failing': rule(0),
    'backup-overdue': rule(24),
    'data-restored': rule(0),
  },
}
