import { PLAIN, type Scenario } from '../scenario.ts'

export const coldRoom: Scenario = {
  ...PLAIN,
  name: 'cold-room',
  words:
    'At 6 h the heating of the room fails and the room falls from 22 to 13 °C in four hours. The lamp goes on but is too weak for that: the water is below 21 °C by 14 h, and nine in ten are hatched eight hours late or later.',
  roomMean: [{ atH: 6, to: 13, overH: 4 }],
}
