import mqtt, { type MqttClient } from 'mqtt'
import { encodePack } from '../../firmware-protocol/pack.ts'

/** What one loading device has sent and what of it was acknowledged. */
export interface Loader {
  readonly acked: Set<number>
  readonly sent: Set<number>
  /** Sends with `inFlight` messages under way until told to stop; what was never acknowledged goes first. */
  run(
    address: { host: string; port: number },
    inFlight: number,
  ): Promise<{ stop(): Promise<void>; abandon(): void }>
}

/** A device that numbers its packs and, as the protocol asks, sends a pack again until it is acknowledged. */
export function loader(device: { device: string; password: string }, atMs: (seq: number) => number): Loader {
  const acked = new Set<number>()
  const sent = new Set<number>()
  let next = 0

  const payload = (seq: number): Buffer =>
    Buffer.from(
      encodePack(
        {
          boot: 'load',
          seq,
          measurements: [{ name: 'count', unit: null, value: seq, timeS: atMs(seq) / 1000 }],
        },
        'json',
      ),
    )

  return {
    acked,
    sent,
    async run(address, inFlight) {
      const client: MqttClient = await mqtt.connectAsync(`mqtt://${address.host}:${address.port}`, {
        clientId: device.device,
        username: device.device,
        password: device.password,
        reconnectPeriod: 0,
      })
      client.on('error', () => undefined)
      const again = [...sent].filter(seq => !acked.has(seq))
      let running = true
      const lane = async (): Promise<void> => {
        while (running) {
          const seq = again.shift() ?? next++
          sent.add(seq)
          await client.publishAsync(`brinewatch/v1/${device.device}/measurements`, payload(seq), { qos: 1 })
          acked.add(seq)
        }
      }
      const lanes = Promise.all(Array.from({ length: inFlight }, lane))
      lanes.catch(() => undefined)
      return {
        async stop() {
          running = false
          await lanes
          await client.endAsync()
        },
        abandon() {
          running = false
          client.end(true)
        },
      }
    },
  }
}
