import { PLAIN, type Scenario } from '../scenario.ts'

export const leak: Scenario = {
  ...PLAIN,
  name: 'leak',
  words:
    'The valve at the outlet is not quite shut: from 9 h on it drips, half a litre in three hours. A sensor tells how high the water stands. The probe hangs in the air once a quarter is left.',
  levelSensor: true,
  leaks: [{ fromH: 9, toH: 1000, litresPerH: 1 / 6 }],
}
