import { ProbeFault } from '../hardware/temperature-probe.ts'
import { PLAIN, type Scenario } from '../scenario.ts'

export const probeUnplugged: Scenario = {
  ...PLAIN,
  name: 'probe-unplugged',
  words:
    'From 6 h to 8 h the temperature probe is unplugged and reads -127; when it is plugged in again it answers 85 for one minute, as after any power-up. The vessel itself is well all the time.',
  probe: [
    { fromH: 6, toH: 8, fault: ProbeFault.disconnected },
    { fromH: 8, toH: 8 + 1 / 60, fault: ProbeFault.powerOn },
  ],
}
