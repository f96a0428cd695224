import { lampRunaway } from './lamp-runaway.ts'
import type { Scenario } from '../scenario.ts'

export const lampRelay: Scenario = {
  ...lampRunaway,
  name: 'lamp-relay',
  words:
    'As lamp-runaway, but the device has a relay in the lamp\'s line and opens it while the broker says "lampOff". Without a broker that says so, it goes as there.',
  lampRelay: true,
}
