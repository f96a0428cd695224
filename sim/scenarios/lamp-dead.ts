import { PLAIN, type Scenario } from '../scenario.ts'

export const lampDead: Scenario = {
  ...PLAIN,
  name: 'lamp-dead',
  words:
    'At 8 h the lamp burns out. It is also the only heater: the light goes at once, the water is below 25 °C within two hours and nears the room; the hatch comes half a day or more late.',
  lamp: [{ atH: 8, to: 0 }],
}
