import { CHANNELS_PER_DEVICE } from '../../intake/reading.ts'
import type { Ranges } from '../ranges.ts'
import { packRanges, unpackRanges } from '../ranges.ts'
import type { Db } from './database.ts'
import type { GroupCommit } from './group-commit.ts'

/** Power-ups remembered for each device, by when they were first heard: repeats come from the last one or two. */
export const BOOTS_PER_DEVICE = 64

export interface Boot {
  readonly id: number
  readonly name: string
  /** Pack numbers on disk. */
  ranges: Ranges
}

/** A device that has sent something: the numbers that stand for its name, its channels and its power-ups on disk. */
export interface Speaker {
  readonly id: number
  readonly name: string
  /** Channel name, then unit, to the channel's number. */
  readonly channels: Map<string, Map<string, number>>
  channelCount: number
  /** Oldest first. */
  boots: Map<string, Boot>
  /** Rows in the journal being written. */
  journalRows: number
}

/** All speakers, held in memory; new ones are written by the transaction that first needs them. */
export class Speakers {
  readonly #commits: GroupCommit
  readonly #byName = new Map<string, Speaker>()
  readonly #addSpeaker
  readonly #addChannel
  readonly #addBoot
  readonly #dropBoot
  readonly #writeRanges

  constructor(db: Db, commits: GroupCommit) {
    this.#commits = commits
    this.#addSpeaker = db.prepare<[string]>('INSERT INTO speaker (name) VALUES (?)')
    this.#addChannel = db.prepare<[number, string, string]>(
      'INSERT INTO channel (speaker, name, unit) VALUES (?, ?, ?)',
    )
    this.#addBoot = db.prepare<[number, string, Uint8Array]>(
      'INSERT INTO boot (speaker, name, ranges) VALUES (?, ?, ?)',
    )
    this.#dropBoot = db.prepare<[number]>('DELETE FROM boot WHERE id = ?')
    this.#writeRanges = db.prepare<[Uint8Array, number]>('UPDATE boot SET ranges = ? WHERE id = ?')
    this.#load(db)
  }

  find(device: string): Speaker | undefined {
    return this.#byName.get(device)
  }

  all(): Iterable<Speaker> {
    return this.#byName.values()
  }

  /** Within a transaction. */
  speaker(device: string): Speaker {
    const known = this.#byName.get(device)
    if (known !== undefined) return known
    const speaker = newSpeaker(Number(this.#addSpeaker.run(device).lastInsertRowid), device)
    this.#byName.set(device, speaker)
    this.#commits.onFailure(() => this.#byName.delete(device))
    return speaker
  }

  /** Within a transaction. `null` when the device has too many channels already. */
  channel(speaker: Speaker, name: string, unit: string): number | null {
    const known = speaker.channels.get(name)?.get(unit)
    if (known !== undefined) return known
    if (speaker.channelCount >= CHANNELS_PER_DEVICE) return null
    const id = Number(this.#addChannel.run(speaker.id, name, unit).lastInsertRowid)
    const units = setChannel(speaker, name, unit, id)
    this.#commits.onFailure(() => {
      units.delete(unit)
      speaker.channelCount--
    })
    return id
  }

  /** Within a transaction. Forgets the oldest power-up when there are too many. */
  boot(speaker: Speaker, name: string): Boot {
    const known = speaker.boots.get(name)
    if (known !== undefined) return known
    const before = speaker.boots
    speaker.boots = new Map(before)
    this.#commits.onFailure(() => (speaker.boots = before))
    for (const oldest of speaker.boots.values()) {
      if (speaker.boots.size < BOOTS_PER_DEVICE) break
      this.#dropBoot.run(oldest.id)
      speaker.boots.delete(oldest.name)
    }
    const id = Number(this.#addBoot.run(speaker.id, name, packRanges([])).lastInsertRowid)
    const boot = { id, name, ranges: [] }
    speaker.boots.set(name, boot)
    return boot
  }

  /** Within a transaction: the numbers of packs that are about to leave the journal. */
  writeRanges(boots: Iterable<Boot>): void {
    for (const boot of boots) this.#writeRanges.run(packRanges(boot.ranges), boot.id)
  }

  #load(db: Db): void {
    const byId = new Map<number, Speaker>()
    for (const { id, name } of db
      .prepare<[], { id: number; name: string }>('SELECT id, name FROM speaker')
      .iterate()) {
      const speaker = newSpeaker(id, name)
      byId.set(id, speaker)
      this.#byName.set(name, speaker)
    }
    const channels = db.prepare<[], { id: number; speaker: number; name: string; unit: string }>(
      'SELECT id, speaker, name, unit FROM channel',
    )
    for (const { id, speaker, name, unit } of channels.iterate())
      setChannel(byId.get(speaker)!, name, unit, id)
    const boots = db.prepare<[], { id: number; speaker: number; name: string; ranges: Uint8Array }>(
      'SELECT id, speaker, name, ranges FROM boot ORDER BY id',
    )
    for (const { id, speaker, name, ranges } of boots.iterate()) {
      byId.get(speaker)!.boots.set(name, { id, name, ranges: unpackRanges(ranges) })
    }
  }
}

function newSpeaker(id: number, name: string): Speaker {
  return { id, name, channels: new Map(), channelCount: 0, boots: new Map(), journalRows: 0 }
}

function setChannel(speaker: Speaker, name: string, unit: string, id: number): Map<string, number> {
  let units = speaker.channels.get(name)
  if (units === undefined) {
    units = new Map()
    speaker.channels.set(name, units)
  }
  units.set(unit, id)
  speaker.channelCount++
  return units
}
