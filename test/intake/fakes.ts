import type { DeviceRegistry, Kept, Outlet } from '../../broker/intake/outlet.ts'
import type { DeviceReport, PlacedPack, QuarantineEntry } from '../../broker/intake/reading.ts'

/** A moment to count from: 2026-01-01T00:00:00Z. */
export const NOW = 1_767_225_600_000

/** An outlet that keeps all in lists, at once or when told to. */
export class FakeOutlet implements Outlet {
  readonly packs: PlacedPack[] = []
  readonly set: QuarantineEntry[] = []
  readonly reports: DeviceReport[] = []
  settledAsked = 0
  /** While true nothing is kept until {@link commit}. */
  holding = false
  /** While set nothing can be kept. */
  failure: Error | null = null
  readonly waiting: Kept[] = []

  pack(pack: PlacedPack, kept: Kept): void {
    this.packs.push(pack)
    this.#keep(kept)
  }
  quarantine(entry: QuarantineEntry, kept: Kept): void {
    this.set.push(entry)
    this.#keep(kept)
  }
  settled(kept: Kept): void {
    this.settledAsked++
    this.#keep(kept)
  }
  report(report: DeviceReport): void {
    this.reports.push(report)
  }
  commit(error: Error | null = null): void {
    for (const kept of this.waiting.splice(0)) kept(error)
  }
  #keep(kept: Kept): void {
    if (this.holding) this.waiting.push(kept)
    else setImmediate(kept, this.failure)
  }
}

/** Devices whose password is their name with `!` behind. */
export function fakeRegistry(devices: readonly string[], seen: DeviceRegistry['seen'] = () => []) {
  return {
    verified: 0,
    async verify(device: string, password: string): Promise<boolean> {
      this.verified++
      return devices.includes(device) && password === `${device}!`
    },
    seen,
    channels: (): { name: string; unit: string }[] => [],
  }
}

export function waterPack(boot: string | null, seq: number | null, waterC = 27, t = 0): string {
  const records: object[] = []
  if (boot !== null) records.push({ n: 'boot', vs: boot })
  if (seq !== null) records.push({ n: 'seq', v: seq })
  records.push({ n: 'water', u: 'Cel', v: waterC, ...(t === 0 ? {} : { t }) })
  return JSON.stringify(records)
}

/** Waits until it holds, or fails loudly. */
export async function until(holds: () => boolean, what: string, withinMs = 20_000): Promise<void> {
  const step = 5
  for (let waited = 0; !holds(); waited += step) {
    if (waited > withinMs) throw new Error(`Waited ${withinMs} ms in vain: ${what}`)
    await sleep(step)
  }
}

export function sleep(ms: number): Promise<void> {
  return new Promise(resolve => setTimeout(resolve, ms))
}
