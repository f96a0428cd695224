import { z } from '@hono/zod-openapi'
import type { RuleName } from '../../rules/alarm.ts'
import { Priority } from '../../rules/alarm.ts'
import { CALIBRATE_EVERY_DAYS } from '../../rules/calibration-reminder.ts'
import { defaultRules } from '../../rules/defaults.ts'

const RuleSetting = z
  .object({
    enabled: z.boolean(),
    limit: z.number(),
    deadband: z.number().min(0),
    onDelayS: z.number().min(0).max(86400),
    offDelayS: z.number().min(0).max(86400),
    priority: z.enum(Priority),
    latching: z.boolean().optional().openapi({
      description: 'Over, it stays up until a person resets it. Off when left out.',
    }),
    reAlarmS: z.number().min(0).max(86400).optional().openapi({
      description:
        'So long after its acknowledgement an alarm of critical or high priority that still holds calls again; 0 is never. 1800 when left out.',
    }),
    leastCostS: z.number().min(0).max(86400).optional().openapi({
      description:
        'Of water-too-cool: nobody is called while the harvest comes less than so many seconds later for it.',
    }),
    allowForProbe: z.boolean().optional().openapi({
      description:
        'Of water-too-hot: called earlier by what a calibrated probe may read too little (k = 2, 1 °C at most). On when left out.',
    }),
  })
  .openapi('RuleSetting')
/** What a rule starts with, for settings sent by somebody who does not know the rule yet. */
function startWith(rule: RuleName): z.infer<typeof RuleSetting> {
  const { enabled, limit, deadband, priority, onDelayMs, offDelayMs } = defaultRules[rule]
  return { enabled, limit, deadband, priority, onDelayS: onDelayMs / 1000, offDelayS: offDelayMs / 1000 }
}
export const Settings = z
  .object({
    temperatureUnit: z.enum(['C', 'F']),
    retentionDays: z.int().min(1).max(3650),
    altitudeM: z.number().min(-430).max(5100).default(0).openapi({
      description: 'Of the room above the sea, m: it tells how much oxygen the water holds.',
    }),
    shelveLimitMin: z.number().min(5).max(720).default(720).openapi({
      description: 'How long a person may shelve an alarm; a critical one an hour at most, whatever this is.',
    }),
    calibrateEveryDays: z.int().min(0).max(3650).default(CALIBRATE_EVERY_DAYS).openapi({
      description: 'So many days after its calibration a probe is due again; 0: nobody is reminded.',
    }),
    rules: z.object({
      'water-heading-hot': RuleSetting.default(startWith('water-heading-hot')),
      'water-too-hot': RuleSetting,
      'water-too-cool': RuleSetting,
      'air-lost': RuleSetting,
      'air-fading': RuleSetting.default(startWith('air-fading')),
      'light-out': RuleSetting,
      'water-level': RuleSetting.default(startWith('water-level')),
      'probe-fault': RuleSetting,
      'probe-out-of-water': RuleSetting.default(startWith('probe-out-of-water')),
      'device-silent': RuleSetting,
      'harvest-missed': RuleSetting.default(startWith('harvest-missed')),
      'power-lost': RuleSetting.default(startWith('power-lost')),
      'disk-full': RuleSetting.default(startWith('disk-full')),
      'store-slow': RuleSetting.default(startWith('store-slow')),
      'clock-jumped': RuleSetting.default(startWith('clock-jumped')),
      'channel-failing': RuleSetting.default(startWith('channel-failing')),
      'backup-overdue': RuleSetting.default(startWith('backup-overdue')),
      'data-restored': RuleSetting.default(startWith('data-restored')),
    }),
  })
  .openapi('Settings')
export type Settings = z.infer<typeof Settings>
