import type { Alarm, Settings } from '../../../broker/web/api/schemas.ts'

/** What an invented room is set to. */
export function settings(): Settings {
  const rule = (limit: number, deadband: number, priority: Alarm['priority']) => ({
    enabled: true,
    limit,
    deadband,
    onDelayS: 60,
    offDelayS: 30,
    priority,
  })
  return {
    temperatureUnit: 'C',
    retentionDays: 90,
    altitudeM: 0,
    shelveLimitMin: 720,
    calibrateEveryDays: 365,
    rules: {
      'water-heading-hot': rule(30, 15, 'high'),
      'water-too-hot': rule(29.4, 0.3, 'critical'),
      'water-too-cool': { ...rule(24, 0.3, 'high'), leastCostS: 3600 },
      'air-lost': rule(0.1, 0.02, 'critical'),
      'air-fading': rule(80, 10, 'high'),
      'light-out': rule(200, 50, 'low'),
      'water-level': rule(80, 10, 'high'),
      'probe-fault': rule(0, 0, 'high'),
      'probe-out-of-water': rule(0, 0, 'high'),
      'device-silent': rule(300, 0, 'high'),
      'harvest-missed': rule(30, 0, 'high'),
      'power-lost': rule(100, 0, 'critical'),
      'disk-full': rule(0, 0, 'high'),
      'store-slow': rule(5, 4, 'low'),
      'clock-jumped': rule(60, 0, 'low'),
      'channel-failing': rule(0, 0, 'high'),
      'backup-overdue': rule(24, 0, 'low'),
      'data-restored': rule(0, 0, 'high'),
    },
  }
}
