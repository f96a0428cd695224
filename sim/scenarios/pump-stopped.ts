import { PLAIN, type Scenario } from '../scenario.ts'

export const pumpStopped: Scenario = {
  ...PLAIN,
  name: 'pump-stopped',
  words:
    'At 22 h, with most cysts hatched, the air pump stops. The water parts into a warm upper and a cooler lower layer, more than 1 °C apart within an hour; oxygen in the lower one is below 1 mg/l within the hour, and most nauplii are dead within three.',
  pump: [{ atH: 22, to: 0 }],
}
