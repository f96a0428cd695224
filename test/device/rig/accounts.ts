import type { Sample } from '../../../broker/store/contract.ts'
import type { Sampled } from './protocol.ts'

/** How a channel's whole numbers become values: as the firmware's drivers say. */
const SCALE: Readonly<Record<string, number>> = { water: 1 / 16, room: 1 / 16, air: 1 / 1000, light: 1 }

export interface Account {
  readonly sampled: number
  /** Each once, with its value, within a second of when it was sampled. */
  readonly stored: number
  /** Sampled, and not on disk. */
  readonly missing: Sampled[]
  /** On disk, and never sampled, or sampled once and on disk twice. */
  readonly surplus: Sample[]
  /** The largest difference of time, ms. */
  readonly worstMs: number
}

/** Compares what was sampled with what is on disk, sampling by sampling; `index` is the channel's place on the device. */
export function account(
  sampled: readonly Sampled[],
  stored: readonly Sample[],
  channel: string,
  index: number,
): Account {
  const scale = SCALE[channel]!
  const left = [...stored].sort((one, other) => one.atMs - other.atMs)
  const missing: Sampled[] = []
  let found = 0
  let worstMs = 0
  let from = 0
  for (const sampling of sampled) {
    const raw = sampling.values[index]!
    const value = Number.isNaN(Number(raw)) ? null : Number(raw) * scale
    while (from < left.length && left[from]!.atMs < sampling.atMs - 1000) from++
    let best = -1
    for (let i = from; i < left.length && left[i]!.atMs <= sampling.atMs + 1000; i++) {
      const same = value === null ? left[i]!.value === null : near(left[i]!.value, value)
      const off = Math.abs(left[i]!.atMs - sampling.atMs)
      if (same && (best < 0 || off < Math.abs(left[best]!.atMs - sampling.atMs))) best = i
    }
    if (best < 0) missing.push(sampling)
    else {
      found++
      worstMs = Math.max(worstMs, Math.abs(left[best]!.atMs - sampling.atMs))
      left.splice(best, 1)
      if (from > best) from--
    }
  }
  return { sampled: sampled.length, stored: found, missing, surplus: left, worstMs }
}

const near = (one: number | null, other: number): boolean => one !== null && Math.abs(one - other) < 1e-6
