import { connectAsync } from 'mqtt'
import { createEmbeddedIntake, type EmbeddedIntake } from '../../../broker/intake/embedded.ts'
import { topicOf, type TopicKind } from '../../../firmware-protocol/topics.ts'
import { deviceState, type DeviceState } from '../../../firmware-protocol/device-state.ts'
import { FakeOutlet, fakeRegistry } from '../../intake/fakes.ts'
import type { SharedClock } from './board.ts'

/** The service's broker alone, with lists behind it, for what the room would say of its own accord. */
export class Bare {
  readonly outlet = new FakeOutlet()
  readonly #clock: SharedClock
  #intake: EmbeddedIntake
  port = 0
  constructor(clock: SharedClock) {
    this.#clock = clock
    this.#intake = this.#make()
  }
  #make(): EmbeddedIntake {
    return createEmbeddedIntake({
      registry: fakeRegistry(['cone-1']),
      outlet: this.outlet,
      clock: () => this.#clock.now,
    })
  }
  async open(): Promise<void> {
    this.port = (await this.#intake.start('127.0.0.1', 0)).port
  }
  close(): Promise<void> {
    return this.#intake.close()
  }
  async tell(kind: TopicKind, payload: object | string, retain = kind !== 'command'): Promise<void> {
    const text = typeof payload === 'string' ? payload : JSON.stringify(payload)
    await this.#intake.publish(topicOf('cone-1', kind), text, { retain })
    // Over a real socket to another thread: nothing says when it got there.
    await new Promise(resolve => setTimeout(resolve, 50))
  }
  /** What the device said last of itself, as is retained. */
  async state(): Promise<DeviceState> {
    const client = await connectAsync(`mqtt://127.0.0.1:${this.port}`, {
      username: 'cone-1',
      password: 'cone-1!',
      clientId: 'a reader',
      protocolVersion: 4,
    })
    const said = new Promise<DeviceState>(resolve =>
      client.once('message', (_, payload) => resolve(deviceState.parse(JSON.parse(payload.toString())))),
    )
    await client.subscribeAsync(topicOf('cone-1', 'state'), { qos: 1 })
    const state = await said
    await client.endAsync(true)
    return state
  }
  /** Seconds between samplings, as they came in, oldest first. */
  gapsS(channel: string): number[] {
    const at = this.outlet.packs
      .flatMap(pack => pack.readings)
      .filter(reading => reading.channel === channel)
      .map(reading => reading.atMs)
    return at.slice(1).map((ms, i) => (ms - at[i]!) / 1000)
  }
}
