import type { PlacedPack, Reading } from '../../intake/reading.ts'
import { ByteWriter } from '../codec/bytes.ts'
import { markOf } from '../codec/mark.ts'
import { writeReading } from '../codec/pack-body.ts'
import { StoreError, StoreErrorCode } from '../contract.ts'
import { holds, type Ranges, withValue } from '../ranges.ts'
import type { Db } from './database.ts'
import type { GroupCommit } from './group-commit.ts'
import { JournalTable, otherJournal } from './journal-tables.ts'
import type { Boot, Speaker, Speakers } from './speakers.ts'
import type { StoreLogger } from './logger.ts'

/** A journal is packed once its devices have so many rows each, on average: enough for a chunk that packs well. */
const ROWS_PER_DEVICE = 256
/** ... or one device has so many, whatever the others do: every read of that device unpacks them one by one. */
const ROWS_OF_ONE_DEVICE = 1024
/** ... or there are so many in all, or so large: they are read when the store opens. */
const ROWS = 65_536
const BYTES = 4 * 1024 * 1024

/** Latest time that can be kept, Unix ms: changes of steps, doubled for their sign, stay exact up to here. */
const LATEST_MS = 2 ** 51

/** What a failed group changed in memory, to be put back. */
interface Before {
  readonly nextId: number
  readonly rows: number
  readonly bytes: number
  readonly ranges: Map<Boot, Ranges>
  readonly speakerRows: Map<Speaker, number>
}

/** Packs as they came, one row each, until they are packed into chunks. */
export class Journal {
  readonly #commits: GroupCommit
  readonly #speakers: Speakers
  readonly #logger: StoreLogger
  readonly #insert
  readonly #empty
  readonly #body = new ByteWriter()
  #active: JournalTable = JournalTable.a
  #frozen: JournalTable | null = null
  #nextId = 1
  #rows = 0
  #bytes = 0
  #writing = 0
  #before: Before | null = null
  /** Power-ups with packs in the journal being written, and in the frozen one: their ranges on disk are behind. */
  #behind = new Set<Boot>()
  #frozenBehind = new Set<Boot>()
  readonly #overfull = new Set<Speaker>()

  constructor(db: Db, commits: GroupCommit, speakers: Speakers, logger: StoreLogger) {
    this.#commits = commits
    this.#speakers = speakers
    this.#logger = logger
    const insert = (table: JournalTable) =>
      db.prepare<[number, number, number | null, number | null, number, number, Uint8Array]>(
        `INSERT INTO ${table} (id, speaker, boot, seq, from_ms, received_ms, body) VALUES (?, ?, ?, ?, ?, ?, ?)`,
      )
    this.#insert = { [JournalTable.a]: insert(JournalTable.a), [JournalTable.b]: insert(JournalTable.b) }
    const empty = (table: JournalTable) => db.prepare(`DELETE FROM ${table}`)
    this.#empty = { [JournalTable.a]: empty(JournalTable.a), [JournalTable.b]: empty(JournalTable.b) }
    this.#load(db)
  }

  /** Writes the pack's row, within a transaction, unless it is there already. Refuses what cannot be kept exactly. */
  write(pack: PlacedPack): void {
    const { seq, receivedAtMs } = pack
    checkTime(receivedAtMs)
    if (seq !== null && !(Number.isSafeInteger(seq) && seq >= 0)) {
      throw refusal(`its number must be a whole number from 0, got ${seq}`)
    }
    const speaker = this.#speakers.speaker(pack.device)
    const boot = pack.boot === null || seq === null ? null : this.#speakers.boot(speaker, pack.boot)
    if (boot !== null && seq !== null && holds(boot.ranges, seq)) return

    const fromMs = this.#encode(speaker, pack)
    const before = this.#beforeGroup()
    const body = this.#body.view()
    this.#insert[this.#active].run(
      this.#nextId,
      speaker.id,
      boot?.id ?? null,
      seq,
      fromMs,
      receivedAtMs,
      body,
    )
    this.#nextId++
    this.#rows++
    this.#bytes += body.length
    if (!before.speakerRows.has(speaker)) before.speakerRows.set(speaker, speaker.journalRows)
    if (speaker.journalRows === 0) this.#writing++
    speaker.journalRows++
    if (boot === null || seq === null) return
    if (!before.ranges.has(boot)) before.ranges.set(boot, boot.ranges)
    boot.ranges = withValue(boot.ranges, seq)
    this.#behind.add(boot)
  }

  seen(device: string, boot: string): Ranges {
    return this.#speakers.find(device)?.boots.get(boot)?.ranges ?? []
  }

  channels(device: string): { name: string; unit: string }[] {
    const channels = this.#speakers.find(device)?.channels ?? []
    return [...channels].flatMap(([name, units]) => [...units.keys()].map(unit => ({ name, unit })))
  }

  /** To be called after each commit. */
  committed(): void {
    this.#before = null
  }

  get rows(): number {
    return this.#rows
  }

  /** Whether it is time to pack. */
  get due(): boolean {
    if (this.#frozen !== null || this.#rows >= ROWS || this.#bytes >= BYTES) return true
    if (this.#rows < ROWS_PER_DEVICE) return false
    return this.#rows >= ROWS_PER_DEVICE * this.#writing || this.#longest() >= ROWS_OF_ONE_DEVICE
  }

  /** Turns to the other journal, so that this one stays as it is while it is packed. `null` when there is nothing to pack. */
  freeze(): JournalTable | null {
    if (this.#frozen !== null) return this.#frozen
    if (this.#rows === 0) return null
    this.#frozen = this.#active
    this.#active = otherJournal(this.#active)
    this.#frozenBehind = this.#behind
    this.#behind = new Set()
    this.#rows = 0
    this.#bytes = 0
    this.#writing = 0
    for (const speaker of this.#speakers.all()) speaker.journalRows = 0
    return this.#frozen
  }

  /** Within the transaction that writes the frozen journal's chunks. Call {@link thawed} after its commit. */
  empty(frozen: JournalTable): void {
    this.#speakers.writeRanges(this.#frozenBehind)
    this.#empty[frozen].run()
  }

  thawed(): void {
    this.#frozen = null
    this.#frozenBehind = new Set()
  }

  #encode(speaker: Speaker, { readings, receivedAtMs }: PlacedPack): number {
    const body = this.#body
    body.clear()
    let fromMs = readings.length === 0 ? receivedAtMs : Infinity
    for (const reading of readings) {
      const { atMs, value } = reading
      checkTime(atMs)
      const channel = this.#speakers.channel(speaker, reading.channel, reading.unit)
      if (channel === null) {
        if (!this.#overfull.has(speaker)) {
          this.#overfull.add(speaker)
          this.#logger.warn(
            { device: speaker.name, channel: reading.channel },
            'not kept: too many channels of one device',
          )
        }
        continue
      }
      writeReading(body, channel, atMs - receivedAtMs, mark(reading), value ?? NaN)
      if (atMs < fromMs) fromMs = atMs
    }
    return fromMs === Infinity ? receivedAtMs : fromMs
  }

  #beforeGroup(): Before {
    if (this.#before !== null) return this.#before
    const before = {
      nextId: this.#nextId,
      rows: this.#rows,
      bytes: this.#bytes,
      ranges: new Map<Boot, Ranges>(),
      speakerRows: new Map<Speaker, number>(),
    }
    this.#commits.onFailure(() => {
      this.#nextId = before.nextId
      this.#rows = before.rows
      this.#bytes = before.bytes
      for (const [boot, ranges] of before.ranges) boot.ranges = ranges
      for (const [speaker, rows] of before.speakerRows) {
        if (rows === 0) this.#writing--
        speaker.journalRows = rows
      }
      this.#before = null
    })
    this.#before = before
    return before
  }

  #longest(): number {
    let longest = 0
    for (const speaker of this.#speakers.all()) longest = Math.max(longest, speaker.journalRows)
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
      const rows = db
        .prepare<[], [speaker: number, boot: number | null, seq: number | null, bytes: number]>(
          `SELECT speaker, boot, seq, length(body) FROM ${table} ORDER BY id`,
        )
        .raw()
      for (const [speakerId, bootId, seq, bytes] of rows.iterate()) {
        const boot = bootId === null ? undefined : boots.get(bootId)
        if (boot !== undefined && seq !== null) {
          boot.ranges = withValue(boot.ranges, seq)
          const behind = table === this.#active ? this.#behind : this.#frozenBehind
          behind.add(boot)
        }
        const speaker = speakers.get(speakerId)
        if (table !== this.#active || speaker === undefined) continue
        if (speaker.journalRows++ === 0) this.#writing++
        this.#rows++
        this.#bytes += bytes
      }
    }
  }
}

function mark({ quality, value }: Reading): number {
  try {
    return markOf(quality, value === null)
  } catch (error) {
    throw refusal(error instanceof Error ? error.message : String(error))
  }
}

function checkTime(ms: number): void {
  if (Number.isInteger(ms) && ms >= 0 && ms <= LATEST_MS) return
  throw refusal(`its times must be whole milliseconds from 0 to ${LATEST_MS}, got ${ms}`)
}

function refusal(rule: string): StoreError {
  return new StoreError(StoreErrorCode.failed, `Cannot keep a pack: ${rule}`)
}
