import mqtt, { type MqttClient } from 'mqtt'
import type { Credentials } from './load.ts'

/** A device that says one temperature at a time. */
export class Prober {
  readonly #client: MqttClient
  readonly #topic: string
  #seq = 0

  static async open(host: string, port: number, { device, password }: Credentials): Promise<Prober> {
    const client = await mqtt.connectAsync(`mqtt://${host}:${port}`, {
      clientId: device,
      username: device,
      password,
      reconnectPeriod: 0,
    })
    return new Prober(client, `brinewatch/v1/${device}/measurements`)
  }

  private constructor(client: MqttClient, topic: string) {
    this.#client = client
    this.#topic = topic
  }

  /** Resolves when it was acknowledged. */
  async send(waterC: number): Promise<void> {
    const pack = [
      { n: 'boot', vs: 'probe' },
      { n: 'seq', v: this.#seq++ },
      { n: 'water', u: 'Cel', v: waterC },
    ]
    await this.#client.publishAsync(this.#topic, JSON.stringify(pack), { qos: 1 })
  }

  close(): void {
    this.#client.end(true)
  }
}
