import mqtt, { type MqttClient } from 'mqtt'
import { encodePack } from '../../firmware-protocol/pack.ts'
import { hashSecret } from '../../broker/secrets.ts'
import { openStore } from '../../broker/store/sqlite/open.ts'
import type { Program } from './program.ts'

/** A device that sends what it is told to, again until it is acknowledged, as the protocol asks. */
export class BenchDevice {
  readonly acked = new Set<number>()
  readonly #credentials: { device: string; password: string }
  readonly #boot: string
  #client: MqttClient | null = null
  #next = 0

  constructor(credentials: { device: string; password: string }, boot = 'b') {
    this.#credentials = credentials
    this.#boot = boot
  }
  get name(): string {
    return this.#credentials.device
  }
  get client(): MqttClient {
    return this.#client!
  }
  async connect({ mqttHost, mqttPort }: Pick<Program, 'mqttHost' | 'mqttPort'>): Promise<this> {
    this.#client?.end(true)
    const { device: username, password } = this.#credentials
    const options = { username, password, reconnectPeriod: 200, connectTimeout: 5000, resubscribe: false }
    this.#client = await mqtt.connectAsync(`mqtt://${mqttHost}:${mqttPort}`, options)
    this.#client.on('error', () => undefined)
    return this
  }
  /** Resolves with the milliseconds to the acknowledgement, however often the connection breaks before that. */
  async send(waterC: number): Promise<number> {
    const seq = this.#next++
    const from = performance.now()
    const measurements = [{ name: 'water', unit: 'Cel', value: waterC, timeS: 0 }]
    const payload = Buffer.from(encodePack({ boot: this.#boot, seq, measurements }, 'json'))
    await this.client.publishAsync(`brinewatch/v1/${this.name}/measurements`, payload, { qos: 1 })
    this.acked.add(seq)
    return performance.now() - from
  }
  end(): void {
    this.#client?.end(true)
  }
}

/** Adds a device before the program starts: quicker than by the command line. */
export async function enrol(dir: string, device: string): Promise<{ device: string; password: string }> {
  const store = await openStore({ dir, threads: false })
  const password = `secret of ${device}`
  await store.addDevice({ name: device, secretHash: hashSecret(password), createdAtMs: Date.now() })
  await store.close()
  return { device, password }
}

/** A vessel whose water the device's channel measures, called for at once when it is too hot. */
export async function watchedVessel(program: Program, device: string, name: string): Promise<string> {
  const { body } = await program.api('POST', '/api/v1/vessels', { name, litres: 1 })
  await program.api('PUT', `/api/v1/vessels/${body.id}/channels`, { water: `${device}/water` })
  const settings = (await program.api('GET', '/api/v1/settings')).body
  Object.assign(settings.rules['water-too-hot'], { onDelayS: 0, offDelayS: 0, priority: 'critical' })
  Object.assign(settings.rules['disk-full'], { onDelayS: 0 })
  await program.api('PUT', '/api/v1/settings', settings)
  return body.id as string
}

/** Milliseconds until an alarm of this rule stands for the vessel; `null` when it does not within ten seconds. */
export async function called(
  program: Program,
  vesselId: string,
  rule = 'water-too-hot',
): Promise<number | null> {
  const from = performance.now()
  while (performance.now() - from < 10_000) {
    const { body } = await program.api('GET', '/api/v1/alarms?standing=true')
    if (body.alarms.some((alarm: any) => alarm.rule === rule && alarm.vesselId === vesselId))
      return performance.now() - from
    await new Promise(resolve => setTimeout(resolve, 30))
  }
  return null
}
