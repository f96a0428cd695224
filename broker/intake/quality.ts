import { faultOf } from './faults.ts'
import { Frozen } from './frozen.ts'
import { OutOfWater } from './out-of-water.ts'
import { Quality, Quantity } from './reading.ts'

/** How many channels of one device are remembered; more are judged by each value alone. Own choice: 32 vessels. */
const CHANNELS_JUDGED = 64
/** How many devices are remembered; at the limit the one met first is forgotten. */
const DEVICES = 4096

/** Names the quality of each value. What it remembers is small and bounded: a few numbers a temperature channel. */
export interface Judge {
  /** The channels of one device: look them up once a pack. */
  of(device: string): DeviceJudge
}

export interface DeviceJudge {
  /** `value` in the quantity's kept unit. */
  judge(channel: string, quantity: Quantity, value: number, atMs: number): Quality
}

export function createJudge(): Judge {
  const devices = new Map<string, DeviceJudge>()
  return {
    of(device) {
      let known = devices.get(device)
      if (known === undefined) {
        if (devices.size >= DEVICES) devices.delete(devices.keys().next().value!)
        known = judgeOneDevice()
        devices.set(device, known)
      }
      return known
    },
  }
}

interface Memory {
  newestMs: number
  before: number | null
  readonly frozen: Frozen
  readonly outOfWater: OutOfWater | null
}

function judgeOneDevice(): DeviceJudge {
  const channels = new Map<string, Memory>()

  function memoryOf(channel: string, quantity: Quantity): Memory | undefined {
    const known = channels.get(channel)
    if (known !== undefined || channels.size >= CHANNELS_JUDGED) return known
    const memory = {
      newestMs: -Infinity,
      before: null,
      frozen: new Frozen(),
      outOfWater: quantity === Quantity.water ? new OutOfWater() : null,
    }
    channels.set(channel, memory)
    return memory
  }

  return {
    judge(channel, quantity, value, atMs) {
      if (quantity !== Quantity.water && quantity !== Quantity.room) return faultOf(quantity, value, null)
      const memory = memoryOf(channel, quantity)
      if (memory === undefined) return faultOf(quantity, value, null)
      const fault = faultOf(quantity, value, memory.before)
      // A backlog after newer values tells nothing of what came between.
      if (fault !== Quality.good || atMs <= memory.newestMs) return fault
      memory.newestMs = atMs
      memory.before = value
      const frozen = memory.frozen.take(value, atMs)
      if (memory.outOfWater?.take(value, atMs)) return Quality.outOfWater
      return frozen ? Quality.frozen : Quality.good
    },
  }
}
