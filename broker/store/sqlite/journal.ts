import type { PlacedPack } from '../../intake/reading.ts'
import { checkedMark, checkHeader, checkTime } from '../checks.ts'
import { ByteWriter } from '../codec/bytes.ts'
import { beginPack, endPack, readFrame } from '../codec/frame.ts'
import { writeReading } from '../codec/pack-body.ts'
import { holds, type Ranges, withRange, withValue } from '../ranges.ts'
import type { Db } from './database.ts'
import type { GroupCommit } from '../group-commit.ts'
import type { Writes } from './writes.ts'
import { JournalTable, otherJournal } from './journal-tables.ts'
import type { Boot, Run, Speaker, Speakers } from './speakers.ts'
import type { StoreLogger } from '../logger.ts'

/** A journal is packed once its devices have so many packs each, on average: enough for a chunk that packs well. */
const PACKS_PER_DEVICE = 256
/** ... or one device has so many, whatever the others do: every read of that device unpacks them one by one. */
const PACKS_OF_ONE_DEVICE = 1024
/** ... or there are so many in all, or so large: they are read when the store opens. */
const PACKS = 65_536
const BYTES = 4 * 1024 * 1024

/** The packs of one group. */
interface Gathered {
  readonly runs: Run[]
  packs: number
  bytes: number
  /** The oldest reading's time. */
  fromMs: number
}

/** Packs as they came, a frame for each group, until they are packed into chunks. */
export class Journal {
  readonly #commits: GroupCommit<Writes>
  readonly #speakers: Speakers
  readonly #logger: StoreLogger
  /** The frame that grows. */
  readonly #body = new ByteWriter()
  #gathered = nothing()
  #underWay: Gathered | null = null
  #active: JournalTable = JournalTable.a
  #frozen: JournalTable | null = null
  #nextId = 1
  /** Of the journal being written, on disk. */
  #packs = 0
  #bytes = 0
  #writing = 0
  /** Power-ups with packs in the journal being written, and in the frozen one: their ranges on disk are behind. */
  #behind = new Set<Boot>()
  #frozenBehind = new Set<Boot>()
  readonly #overfull = new Set<Speaker>()

  constructor(db: Db, commits: GroupCommit<Writes>, speakers: Speakers, logger: StoreLogger) {
    this.#commits = commits
    this.#speakers = speakers
    this.#logger = logger
    this.#load(db)
  }

  /**
   * Adds the pack to the frame that grows, unless it is there or on disk already; resolves once it is on disk. Throws a
   * StoreError for what cannot be kept exactly.
   */
  keep(pack: PlacedPack): Promise<void> {
    const { seq } = pack
    checkHeader(pack)
    const speaker = this.#speakers.speaker(pack.device)
    const boot = pack.boot === null || seq === null ? null : this.#speakers.boot(speaker, pack.boot)
    if (boot === null || !(isUnderWay(boot, seq!) || holds(boot.ranges, seq!))) {
      if (this.#gathered.packs === 0) this.#forgetOnFailure(this.#gathered)
      this.#encode(speaker, boot, pack)
      this.#count(speaker, boot, seq ?? 0)
    }
    return this.#commits.pack()
  }

  /** To be called before each group is written: adds the frame. */
  closing(): void {
    const gathered = this.#gathered
    if (gathered.packs === 0) return
    const body = this.#body.view().slice()
    gathered.bytes = body.length
    this.#body.clear()
    this.#gathered = nothing()
    this.#underWay = gathered
    const { packs, fromMs } = gathered
    this.#commits.add('frame', { table: this.#active, id: this.#nextId++, fromMs, packs, body })
  }

  /** To be called after each group that is on disk. */
  committed(): void {
    if (this.#underWay === null) return
    const { runs, packs, bytes } = this.#underWay
    this.#underWay = null
    this.#packs += packs
    this.#bytes += bytes
    for (const run of runs) {
      const { speaker, boot } = run
      if (speaker.journalPacks === 0) this.#writing++
      speaker.journalPacks += run.packs
      if (boot === null) continue
      boot.ranges = withRange(boot.ranges, run.from, run.to)
      isOver(run)
      this.#behind.add(boot)
    }
  }

  seen(device: string, boot: string): Ranges {
    return this.#speakers.find(device)?.boots.get(boot)?.ranges ?? []
  }

  channels(device: string): { name: string; unit: string }[] {
    const channels = this.#speakers.find(device)?.channels ?? []
    return [...channels].flatMap(([name, units]) => [...units.keys()].map(unit => ({ name, unit })))
  }

  /** In the journal being written. */
  get packs(): number {
    return this.#packs
  }

  /** Whether it is time to pack. */
  get due(): boolean {
    if (this.#frozen !== null || this.#packs >= PACKS || this.#bytes >= BYTES) return true
    if (this.#packs < PACKS_PER_DEVICE) return false
    return this.#packs >= PACKS_PER_DEVICE * this.#writing || this.#longest() >= PACKS_OF_ONE_DEVICE
  }

  /**
   * Turns to the other journal, so that this one stays as it is while it is packed; no group may be under way. `null` when
   * there is nothing to pack.
   */
  freeze(): JournalTable | null {
    if (this.#frozen !== null) return this.#frozen
    if (this.#packs === 0) return null
    this.#frozen = this.#active
    this.#active = otherJournal(this.#active)
    this.#frozenBehind = this.#behind
    this.#behind = new Set()
    this.#packs = 0
    this.#bytes = 0
    this.#writing = 0
    for (const speaker of this.#speakers.all()) speaker.journalPacks = 0
    return this.#frozen
  }

  /** The pack numbers on disk of the frozen journal's power-ups: they are written with its chunks. */
  frozenRanges(): (readonly [boot: number, ranges: Ranges])[] {
    return [...this.#frozenBehind].map(({ id, ranges }) => [id, ranges])
  }

  /** The frozen journal is packed and empty. */
  thawed(): void {
    this.#frozen = null
    this.#frozenBehind = new Set()
  }

  #encode(speaker: Speaker, boot: Boot | null, { seq, readings, receivedAtMs }: PlacedPack): void {
    const body = this.#body
    const start = beginPack(body, speaker.id, boot === null ? null : boot.id, seq, receivedAtMs)
    let fromMs = Infinity
    try {
      for (const reading of readings) {
        const { atMs, value } = reading
        checkTime(atMs)
        const channel = this.#speakers.channel(speaker, reading.channel, reading.unit)
        if (channel === null) this.#warnOverfull(speaker, reading.channel)
        else {
          writeReading(body, channel, atMs - receivedAtMs, checkedMark(reading), value ?? NaN)
          if (atMs < fromMs) fromMs = atMs
        }
      }
    } catch (error) {
      body.truncate(start)
      throw error
    }
    endPack(body, start)
    const gathered = this.#gathered
    gathered.fromMs = Math.min(gathered.fromMs, fromMs === Infinity ? receivedAtMs : fromMs)
  }

  /** The packs of one device mostly come several at a time and with rising numbers: then they are one run. */
  #count(speaker: Speaker, boot: Boot | null, seq: number): void {
    const gathered = this.#gathered
    gathered.packs++
    const last = gathered.runs.at(-1)
    if (last?.speaker === speaker && last.boot === boot && (boot === null || last.to === seq - 1)) {
      last.to = seq
      last.packs++
      return
    }
    const run: Run = { speaker, boot, from: seq, to: seq, packs: 1 }
    gathered.runs.push(run)
    boot?.underWay.push(run)
  }

  #warnOverfull(speaker: Speaker, channel: string): void {
    if (this.#overfull.has(speaker)) return
    this.#overfull.add(speaker)
    this.#logger.warn({ device: speaker.name, channel }, 'not kept: too many channels of one device')
  }

  #forgetOnFailure(gathered: Gathered): void {
    this.#commits.onFailure(() => {
      gathered.runs.forEach(isOver)
      if (gathered === this.#underWay) this.#underWay = null
      if (gathered !== this.#gathered) return
      this.#gathered = nothing()
      this.#body.clear()
    })
  }

  #longest(): number {
    let longest = 0
    for (const speaker of this.#speakers.all()) longest = Math.max(longest, speaker.journalPacks)
    return longest
  }

  #load(db: Db): void {
    const newest = (table: JournalTable) =>
      db.prepare<[], number>(`SELECT coalesce(max(id), 0) FROM ${table}`).pluck().get() ?? 0
    const a = newest(JournalTable.a)
    const b = newest(JournalTable.b)
    this.#active = a >= b ? JournalTable.a : JournalTable.b
    if (a > 0 && b > 0) this.#frozen = otherJournal(this.#active)
    this.#nextId = Math.max(a, b) + 1

    const speakers = new Map<number, Speaker>()
    const boots = new Map<number, Boot>()
    for (const speaker of this.#speakers.all()) {
      speakers.set(speaker.id, speaker)
      for (const boot of speaker.boots.values()) boots.set(boot.id, boot)
    }
    for (const table of [otherJournal(this.#active), this.#active]) {
      const isActive = table === this.#active
      const frames = db.prepare<[], Uint8Array>(`SELECT body FROM ${table} ORDER BY id`).pluck()
      for (const body of frames.iterate()) {
        if (isActive) this.#bytes += body.length
        for (const pack of readFrame(body)) {
          const boot = pack.boot === null ? undefined : boots.get(pack.boot)
          if (boot !== undefined && pack.seq !== null) {
            boot.ranges = withValue(boot.ranges, pack.seq)
            ;(isActive ? this.#behind : this.#frozenBehind).add(boot)
          }
          const speaker = speakers.get(pack.speaker)
          if (!isActive || speaker === undefined) continue
          if (speaker.journalPacks++ === 0) this.#writing++
          this.#packs++
        }
      }
    }
  }
}

function nothing(): Gathered {
  return { runs: [], packs: 0, bytes: 0, fromMs: Infinity }
}

function isUnderWay({ underWay }: Boot, seq: number): boolean {
  for (const { from, to } of underWay) if (from <= seq && seq <= to) return true
  return false
}

function isOver(run: Run): void {
  const runs = run.boot?.underWay
  const index = runs?.indexOf(run) ?? -1
  if (index >= 0) runs?.splice(index, 1)
}
