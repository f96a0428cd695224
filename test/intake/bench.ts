import { afterEach, beforeEach, expect } from 'vitest'
import { createEmbeddedIntake } from '../../broker/intake/embedded.ts'
import type { EmbeddedIntake, EmbeddedIntakeOptions } from '../../broker/intake/embedded.ts'
import { FakeOutlet, fakeRegistry, NOW } from './fakes.ts'
import { RawClient } from './raw-client.ts'

export const MEASUREMENTS = 'brinewatch/v1/bench-1/measurements'
export const STATE = 'brinewatch/v1/bench-1/state'
export const registry = fakeRegistry(['bench-1', 'bench-2'])

/** A broker anew for every test, and clients that end with it. */
export class Bench {
  outlet = new FakeOutlet()
  intake!: EmbeddedIntake
  port = 0
  #clients: RawClient[] = []

  async start(more: Partial<EmbeddedIntakeOptions> = {}): Promise<void> {
    this.outlet = new FakeOutlet()
    this.intake = createEmbeddedIntake({
      registry,
      outlet: this.outlet,
      clock: () => NOW,
      pauseMs: 50,
      ...more,
    })
    this.port = (await this.intake.start('127.0.0.1', 0)).port
  }

  async stop(): Promise<void> {
    for (const each of this.#clients.splice(0)) each.end()
    await this.intake.close()
  }

  client(): RawClient {
    const made = new RawClient(this.port)
    this.#clients.push(made)
    return made
  }

  async signedIn(device = 'bench-1', more: Record<string, unknown> = {}): Promise<RawClient> {
    const made = this.client()
    expect(await made.connect(device, more)).toBe(0)
    return made
  }
}

export function useBench(): Bench {
  const bench = new Bench()
  beforeEach(() => bench.start())
  afterEach(() => bench.stop())
  return bench
}
