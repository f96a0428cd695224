import { PLAIN, type Scenario } from '../scenario.ts'

export const pumpFading: Scenario = {
  ...PLAIN,
  name: 'pump-fading',
  words:
    'From 12 h on the air pump fades, over ten hours, to a twentieth of its flow (a torn membrane). Oxygen falls as the hatch begins and is below 4 mg/l before 24 h.',
  pump: [{ atH: 12, to: 0.05, overH: 10 }],
}
