import { PLAIN, type Scenario } from '../scenario.ts'

export const lampDead: Scenario = {
  ...PLAIN,
  name: 'lamp-dead',
  words:
    'At 8 h the lamp burns out. It is also the only heater: the light goes at once, the water is below 25.5 °C within two hours and nears the room; nine in ten are hatched four hours late or later.',
  lamp: [{ atH: 8, to: 0 }],
}
