import { CHANNELS_PER_DEVICE } from '../../intake/reading.ts'
import { BOOTS_PER_DEVICE } from '../limits.ts'
import type { Ranges } from '../ranges.ts'
import { unpackRanges } from '../ranges.ts'
import type { Db } from './database.ts'
import type { GroupCommit } from '../group-commit.ts'
import type { Writes } from './writes.ts'

export interface Boot {
  readonly id: number
  readonly name: string
  /** Pack numbers on disk. */
  ranges: Ranges
  /** Packs on their way there. */
  readonly underWay: Run[]
}

/** Packs of one speaker that came one after the other; with consecutive numbers, if they have any. */
export interface Run {
  readonly speaker: Speaker
  readonly boot: Boot | null
  readonly from: number
  to: number
  packs: number
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
  /** Packs in the journal being written. */
  journalPacks: number
}

/**
 * All speakers, held in memory; new ones are written by the group that first needs them. Their numbers are given here, for
 * the group may be written on another thread.
 */
export class Speakers {
  readonly #commits: GroupCommit<Writes>
  readonly #byName = new Map<string, Speaker>()
  #lastSpeaker = 0
  #lastChannel = 0
  #lastBoot = 0

  constructor(db: Db, commits: GroupCommit<Writes>) {
    this.#commits = commits
    this.#load(db)
  }

  find(device: string): Speaker | undefined {
    return this.#byName.get(device)
  }

  all(): Iterable<Speaker> {
    return this.#byName.values()
  }

  speaker(device: string): Speaker {
    const known = this.#byName.get(device)
    if (known !== undefined) return known
    const speaker = newSpeaker(++this.#lastSpeaker, device)
    this.#commits.add('speaker', { id: speaker.id, name: device })
    this.#byName.set(device, speaker)
    this.#commits.onFailure(() => this.#byName.delete(device))
    return speaker
  }

  /** `null` when the device has too many channels already. */
  channel(speaker: Speaker, name: string, unit: string): number | null {
    const known = speaker.channels.get(name)?.get(unit)
    if (known !== undefined) return known
    if (speaker.channelCount >= CHANNELS_PER_DEVICE) return null
    const id = ++this.#lastChannel
    this.#commits.add('channel', { id, speaker: speaker.id, name, unit })
    const units = setChannel(speaker, name, unit, id)
    this.#commits.onFailure(() => {
      units.delete(unit)
      speaker.channelCount--
    })
    return id
  }

  /** Forgets the oldest power-up when there are too many. */
  boot(speaker: Speaker, name: string): Boot {
    const known = speaker.boots.get(name)
    if (known !== undefined) return known
    const before = speaker.boots
    speaker.boots = new Map(before)
    this.#commits.onFailure(() => (speaker.boots = before))
    for (const oldest of speaker.boots.values()) {
      if (speaker.boots.size < BOOTS_PER_DEVICE) break
      this.#commits.add('forgetBoot', oldest.id)
      speaker.boots.delete(oldest.name)
    }
    const boot: Boot = { id: ++this.#lastBoot, name, ranges: [], underWay: [] }
    this.#commits.add('boot', { id: boot.id, speaker: speaker.id, name })
    speaker.boots.set(name, boot)
    return boot
  }

  #load(db: Db): void {
    const byId = new Map<number, Speaker>()
    for (const { id, name } of db
      .prepare<[], { id: number; name: string }>('SELECT id, name FROM speaker')
      .iterate()) {
      const speaker = newSpeaker(id, name)
      byId.set(id, speaker)
      this.#lastSpeaker = Math.max(this.#lastSpeaker, id)
      this.#byName.set(name, speaker)
    }
    const channels = db.prepare<[], { id: number; speaker: number; name: string; unit: string }>(
      'SELECT id, speaker, name, unit FROM channel',
    )
    for (const { id, speaker, name, unit } of channels.iterate()) {
      setChannel(byId.get(speaker)!, name, unit, id)
      this.#lastChannel = Math.max(this.#lastChannel, id)
    }
    const boots = db.prepare<[], { id: number; speaker: number; name: string; ranges: Uint8Array }>(
      'SELECT id, speaker, name, ranges FROM boot ORDER BY id',
    )
    for (const { id, speaker, name, ranges } of boots.iterate()) {
      byId.get(speaker)!.boots.set(name, { id, name, ranges: unpackRanges(ranges), underWay: [] })
      this.#lastBoot = Math.max(this.#lastBoot, id)
    }
  }
}

function newSpeaker(id: number, name: string): Speaker {
  return { id, name, channels: new Map(), channelCount: 0, boots: new Map(), journalPacks: 0 }
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
