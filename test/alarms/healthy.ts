import { seededRandom, type Random } from '../../sim/random.ts'
import { World } from '../../sim/world.ts'
import { between, drawHealthy } from './draw.ts'
import { DAY_MS, HOUR_MS, WatchedRoom, type Call, type Sampled } from './watched-room.ts'

export interface HealthyOptions {
  readonly vesselDays: number
  readonly seed: number
  readonly stepS?: number
  readonly onBatch?: (vesselDays: number) => void
}

export interface HealthyResult {
  readonly vesselDays: number
  readonly batches: number
  readonly calls: readonly Call[]
}

const LONGEST_H = 60
/** A keeper comes within so long of the moment called best, h. */
const LATE_H = 0.5

/** Batches that go well, one after the other, each in another vessel of another room; nothing in them is worth a call. */
export async function playHealthy(options: HealthyOptions): Promise<HealthyResult> {
  const { vesselDays, seed, stepS = 30 } = options
  const calls: Call[] = []
  let hours = 0
  let batches = 0
  while (hours < vesselDays * 24) {
    const random = seededRandom(seed).fork(`batch ${batches}`)
    hours += await playBatch(random, stepS, calls)
    batches++
    options.onBatch?.(hours / 24)
  }
  return { vesselDays: hours / 24, batches, calls }
}

async function playBatch(random: Random, stepS: number, calls: Call[]): Promise<number> {
  const { scenario, probeOffsetC } = drawHealthy(random.fork('vessel'))
  const watched = await WatchedRoom.open()
  const vesselId = await watched.addVessel('Cone', scenario, 'bench')
  const world = new World(scenario, {
    seed: Math.floor(random.uniform() * 2 ** 31),
    lot: 'drawn',
    probeOffsetC,
  })
  const { id } = await watched.room.startBatch({
    vesselId,
    litres: scenario.litres,
    cystsG: scenario.cystsGpl * scenario.litres,
    salinityGpl: scenario.salinityGpl,
  })
  const startMs = watched.nowMs
  const line = new Line(random.fork('line'))
  const lateMs = between(random, 0, LATE_H) * HOUR_MS
  for (let step = 1; ; step++) {
    world.step(stepS)
    watched.nowMs = startMs + step * stepS * 1000
    line.carry(watched, world.measure())
    watched.tick()
    await watched.breathe()
    if (step % 40 !== 0) continue
    const best = watched.room.vessel(vesselId).forecast?.harvest.bestMs ?? Infinity
    const isOver = watched.nowMs - startMs >= LONGEST_H * HOUR_MS
    if (watched.nowMs >= best + lateMs || isOver) break
  }
  await watched.room.endBatch(id, {})
  calls.push(...watched.calls)
  return ((watched.nowMs - startMs) / DAY_MS) * 24
}

/** How many of these befall a vessel in a day, on average. */
const GLITCHES_PER_DAY = 6
const LOSSES_PER_DAY = 4
const RESTARTS_PER_DAY = 0.5

/** A sensor line as it is: single bad readings, short losses of the network with what was measured sent after, and restarts. */
class Line {
  readonly #random: Random
  #lostUntilMs = -Infinity
  #badUntilMs = -Infinity
  #bad = -127
  #waiting: { readonly atMs: number; readonly of: Sampled }[] = []
  #atMs = NaN

  constructor(random: Random) {
    this.#random = random
  }

  carry(watched: WatchedRoom, measured: Sampled): void {
    const { nowMs } = watched
    const days = Number.isNaN(this.#atMs) ? 0 : (nowMs - this.#atMs) / DAY_MS
    this.#atMs = nowMs
    if (this.#happens(GLITCHES_PER_DAY, days)) {
      this.#bad = this.#random.uniform() < 0.5 ? -127 : 0
      // A loose contact: some seconds, most often a single reading.
      this.#badUntilMs = nowMs + between(this.#random, 1, 40) * 1000
    }
    if (this.#happens(RESTARTS_PER_DAY, days)) {
      this.#lostUntilMs = nowMs + 20_000
      this.#bad = 85
      this.#badUntilMs = nowMs + 31_000
    }
    if (this.#happens(LOSSES_PER_DAY, days)) this.#lostUntilMs = nowMs + between(this.#random, 20, 110) * 1000
    const of = nowMs <= this.#badUntilMs ? { ...measured, waterC: this.#bad } : measured
    this.#waiting.push({ atMs: nowMs, of })
    if (nowMs < this.#lostUntilMs) return
    for (const each of this.#waiting.splice(0))
      watched.send('bench', [{ prefix: '', of: each.of }], each.atMs)
  }

  #happens(perDay: number, days: number): boolean {
    return this.#random.uniform() < perDay * days
  }
}
