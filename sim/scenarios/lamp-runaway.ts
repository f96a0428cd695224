import { PLAIN, type Scenario } from '../scenario.ts'

export const lampRunaway: Scenario = {
  ...PLAIN,
  name: 'lamp-runaway',
  words:
    'At 10 h the lamp gives two and a half times its heat and light (a dimmer sticks). The water passes 29.4 °C between 10 and 60 minutes later and is above 33 °C within two hours; left alone, most that hatch are dead at 36 h.',
  lamp: [{ atH: 10, to: 2.5 }],
}
