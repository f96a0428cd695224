import { connect, type MqttClient } from 'mqtt'
import { Backoff, type BackoffSetting } from './backoff.ts'
import type { Random } from '../random.ts'

export interface LinkSetting {
  readonly host: string
  readonly port: number
  /** User name and client id. */
  readonly device: string
  readonly password: string
  /** Subscribed at every connect: the session is a clean one. */
  readonly subscriptions: readonly string[]
  readonly will: { readonly topic: string; readonly payload: string }
  readonly backoff: BackoffSetting
  /** Without an acknowledgement for this long the connection is taken for dead. */
  readonly acknowledgeWithinMs: number
}

export interface LinkListener {
  /** Connected: whatever was in flight before is lost, and may be sent again. */
  up(): void
  /** The connection is gone, or could not be made; `why` is null when it was closed on purpose. */
  down(why: string | null): void
  /** Something came on one of the subscriptions. */
  message(topic: string, payload: Uint8Array): void
}

/** How long a goodbye may take. */
const GOODBYE_MS = 1000

/**
 * A connection that is made anew, with a fresh client, whenever it breaks. Nothing is ever queued below it: what cannot be
 * sent now is not sent, because the client library's own queue has no limit.
 */
export class MqttLink {
  #setting: LinkSetting
  #listener: LinkListener
  #backoff: Backoff
  #client: MqttClient | null = null
  #retry: NodeJS.Timeout | undefined
  #wanted = false
  #why: string | null = null

  constructor(setting: LinkSetting, listener: LinkListener, random: Random) {
    this.#setting = setting
    this.#listener = listener
    this.#backoff = new Backoff(setting.backoff, random)
  }

  get up(): boolean {
    return this.#client?.connected === true
  }

  open(): void {
    if (this.#wanted) return
    this.#wanted = true
    this.#connect()
  }

  /** Breaks off without a word, as when the network goes. `open` starts over. */
  cut(): void {
    this.#wanted = false
    clearTimeout(this.#retry)
    this.#client?.end(true)
    this.#gone(this.#client)
  }

  /** Says goodbye: the last will is not sent. */
  async close(): Promise<void> {
    this.#wanted = false
    clearTimeout(this.#retry)
    const client = this.#client
    if (!client) return
    this.#client = null
    // The goodbye waits for what is under way; a broker that hangs would keep it waiting for ever.
    await new Promise<void>(resolve => {
      const patience = setTimeout(() => {
        client.stream.destroy()
        resolve()
      }, GOODBYE_MS)
      client.end(!client.connected, {}, () => {
        clearTimeout(patience)
        resolve()
      })
    })
    this.#listener.down(null)
  }

  /**
   * Sends one message of QoS 1. `acknowledged` is called once, and only for a PUBACK; without one the connection is
   * broken off. Returns false, and does nothing, while the link is down.
   */
  publish(topic: string, payload: Uint8Array | string, retain: boolean, acknowledged?: () => void): boolean {
    const client = this.#client
    if (!client?.connected) return false
    const late = setTimeout(() => {
      this.#why = `no acknowledgement within ${this.#setting.acknowledgeWithinMs} ms`
      client.end(true)
      this.#gone(client)
    }, this.#setting.acknowledgeWithinMs)
    late.unref()
    const bytes = typeof payload === 'string' ? payload : Buffer.from(payload)
    client.publish(topic, bytes, { qos: 1, retain }, error => {
      clearTimeout(late)
      if (error || client !== this.#client) return
      this.#backoff.reset()
      acknowledged?.()
    })
    return true
  }

  #connect(): void {
    const { host, port, device, password, will, acknowledgeWithinMs } = this.#setting
    const client = connect({
      protocol: 'mqtt',
      host,
      port,
      protocolVersion: 4,
      clientId: device,
      username: device,
      password,
      clean: true,
      keepalive: 30,
      reconnectPeriod: 0,
      connectTimeout: acknowledgeWithinMs,
      queueQoSZero: false,
      will: { topic: will.topic, payload: Buffer.from(will.payload), qos: 1, retain: true },
    })
    this.#client = client
    client.on('connect', () => {
      if (client !== this.#client) return
      // A broker that refuses says so in its answer; the device then measures on, unheard.
      for (const topic of this.#setting.subscriptions) client.subscribe(topic, { qos: 1 })
      this.#listener.up()
    })
    client.on('message', (topic, payload) => {
      if (client === this.#client) this.#listener.message(topic, payload)
    })
    client.on('error', error => {
      this.#why = error.message || 'cannot be reached'
    })
    client.on('close', () => this.#gone(client))
  }

  #gone(client: MqttClient | null): void {
    if (client === null || client !== this.#client) return
    this.#client = null
    client.end(true)
    const why = this.#wanted ? (this.#why ?? 'the connection was closed') : null
    this.#why = null
    this.#listener.down(why)
    if (this.#wanted) this.#retry = setTimeout(() => this.#connect(), this.#backoff.nextMs())
  }
}
