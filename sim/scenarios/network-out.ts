import { PLAIN, type Scenario } from '../scenario.ts'

export const networkOut: Scenario = {
  ...PLAIN,
  name: 'network-out',
  words:
    'From 6 h to 10 h the device cannot reach the broker. It goes on measuring, keeps what it measures, and sends it afterwards with the times at which it was measured. The vessel itself is well all the time.',
  networkOut: [{ fromH: 6, toH: 10 }],
}
