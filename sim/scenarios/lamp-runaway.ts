import { PLAIN, type Scenario } from '../scenario.ts'

export const lampRunaway: Scenario = {
  ...PLAIN,
  name: 'lamp-runaway',
  words:
    'At 10 h the lamp gives two and a half times its heat and light (a dimmer sticks). The water passes 29.4 °C between 20 and 60 minutes later and nears 35 °C; left alone, nothing in the vessel lives through it.',
  lamp: [{ atH: 10, to: 2.5 }],
}
