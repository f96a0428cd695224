import { CHANNELS_PER_DEVICE, type PlacedPack } from '../../intake/reading.ts'
import { BOOTS_PER_DEVICE } from '../limits.ts'
import type { Sql } from './sql.ts'

/** A device that has sent something: the numbers that stand for its name, its channels and its power-ups. */
export interface Speaker {
  readonly id: number
  /** By {@link channelKey}. */
  readonly channels: Map<string, number>
  readonly boots: Map<string, number>
}

interface IdRow {
  readonly id: number
  readonly speaker: number
  readonly name: string
  readonly unit: string
}

/**
 * The numbers that stand for names. They are given by the database, for several processes write at once; what was read once
 * is remembered. What a transaction learns is remembered with {@link learn} once it is committed.
 */
export class Names {
  readonly #speakers = new Map<string, Speaker>()

  /** All devices with their channels. Power-ups are looked up when they are met. */
  async load(sql: Sql): Promise<void> {
    const byId = new Map<number, Speaker>()
    for (const { id, name } of await sql.rows<{ id: number; name: string }>('SELECT id, name FROM speaker'))
      byId.set(id, this.#remember(name, id))
    const channels = await sql.rows<IdRow>('SELECT id, speaker, name, unit FROM channel ORDER BY id')
    for (const { id, speaker, name, unit } of channels)
      byId.get(speaker)?.channels.set(channelKey(name, unit), id)
  }

  channels(device: string): { name: string; unit: string }[] {
    return [...(this.#speakers.get(device)?.channels.keys() ?? [])].map(fromKey)
  }

  /** The numbers for all names in these packs, new ones made where they are missing. Names beyond a device's most channels get none. */
  async resolve(sql: Sql, packs: readonly PlacedPack[]): Promise<Resolved> {
    const resolved = new Resolved(this.#speakers)
    const wanted = new Map<string, Wanted>()
    for (const pack of packs) {
      const missing = resolved.missing(pack)
      if (missing === null) continue
      const known = wanted.get(pack.device)
      if (known === undefined) wanted.set(pack.device, missing)
      else {
        missing.channels.forEach(key => known.channels.add(key))
        missing.boots.forEach(boot => known.boots.add(boot))
      }
    }
    // In one order everywhere, so that no two transactions wait for each other.
    const devices = [...wanted.keys()].sort()
    if (devices.length === 0) return resolved
    await this.#speakersFor(sql, resolved, devices)
    await this.#channelsFor(sql, resolved, devices, wanted)
    await this.#bootsFor(sql, resolved, devices, wanted)
    return resolved
  }

  /** What a committed transaction resolved holds from now on. */
  learn({ learned }: Resolved): void {
    for (const [device, { id, channels, boots }] of learned) {
      const speaker = this.#remember(device, id)
      for (const [key, channel] of channels) speaker.channels.set(key, channel)
      for (const [boot, number] of boots) speaker.boots.set(boot, number)
      for (const oldest of speaker.boots.keys()) {
        if (speaker.boots.size <= BOOTS_PER_DEVICE) break
        speaker.boots.delete(oldest)
      }
    }
  }

  #remember(name: string, id: number): Speaker {
    const known = this.#speakers.get(name)
    if (known !== undefined) return known
    const speaker = { id, channels: new Map<string, number>(), boots: new Map<string, number>() }
    this.#speakers.set(name, speaker)
    return speaker
  }

  async #speakersFor(sql: Sql, resolved: Resolved, devices: readonly string[]): Promise<void> {
    const unknown = devices.filter(device => resolved.speaker(device) === undefined)
    if (unknown.length === 0) return
    await sql.rows('INSERT INTO speaker (name) SELECT unnest($1::text[]) ON CONFLICT DO NOTHING', [unknown])
    const found = await sql.rows<{ id: number; name: string }>(
      'SELECT id, name FROM speaker WHERE name = ANY ($1::text[])',
      [unknown],
    )
    for (const { id, name } of found) resolved.add(name, id)
    // Another process may have made them, and their channels.
    const channels = await sql.rows<IdRow & { readonly device: string }>(
      `SELECT channel.id, channel.name, unit, speaker.name AS device FROM channel JOIN speaker ON speaker.id = channel.speaker
       WHERE speaker = ANY ($1::integer[])`,
      [found.map(({ id }) => id)],
    )
    for (const { id, device, name, unit } of channels) resolved.addChannel(device, channelKey(name, unit), id)
  }

  async #channelsFor(
    sql: Sql,
    resolved: Resolved,
    devices: readonly string[],
    wanted: ReadonlyMap<string, Wanted>,
  ): Promise<void> {
    const made: { device: string; key: string }[] = []
    for (const device of devices) {
      let room = CHANNELS_PER_DEVICE - resolved.channelCount(device)
      for (const key of wanted.get(device)!.channels) {
        if (resolved.channel(device, key) !== undefined) continue
        if (room-- > 0) made.push({ device, key })
      }
    }
    if (made.length === 0) return
    const values = [
      made.map(({ device }) => resolved.speaker(device)),
      made.map(({ key }) => fromKey(key).name),
      made.map(({ key }) => fromKey(key).unit),
    ]
    const list = '(SELECT * FROM unnest($1::integer[], $2::text[], $3::text[]) AS x (speaker, name, unit))'
    await sql.rows(`INSERT INTO channel (speaker, name, unit) ${list} ON CONFLICT DO NOTHING`, values)
    const ids = await sql.rows<IdRow>(
      `SELECT channel.* FROM channel JOIN ${list} AS wanted USING (speaker, name, unit) ORDER BY channel.id`,
      values,
    )
    const bySpeaker = new Map(made.map(({ device }) => [resolved.speaker(device), device]))
    for (const { id, speaker, name, unit } of ids)
      resolved.addChannel(bySpeaker.get(speaker)!, channelKey(name, unit), id)
  }

  async #bootsFor(
    sql: Sql,
    resolved: Resolved,
    devices: readonly string[],
    wanted: ReadonlyMap<string, Wanted>,
  ): Promise<void> {
    const made = devices.flatMap(device =>
      [...wanted.get(device)!.boots].sort().map(boot => ({ device, boot })),
    )
    if (made.length === 0) return
    const values = [made.map(({ device }) => resolved.speaker(device)), made.map(({ boot }) => boot)]
    const list = '(SELECT * FROM unnest($1::integer[], $2::text[]) AS x (speaker, name))'
    await sql.rows(`INSERT INTO boot (speaker, name) ${list} ON CONFLICT DO NOTHING`, values)
    const ids = await sql.rows<IdRow>(
      `SELECT boot.id, boot.speaker, boot.name FROM boot JOIN ${list} AS wanted USING (speaker, name)`,
      values,
    )
    const bySpeaker = new Map(made.map(({ device }) => [resolved.speaker(device), device]))
    for (const { id, speaker, name } of ids) resolved.addBoot(bySpeaker.get(speaker)!, name, id)
    await sql.rows(
      `DELETE FROM boot USING unnest($1::integer[]) AS of (speaker)
       WHERE boot.speaker = of.speaker AND boot.id <= (SELECT id FROM boot AS newer WHERE newer.speaker = of.speaker
         ORDER BY id DESC OFFSET ${BOOTS_PER_DEVICE} LIMIT 1)`,
      [[...new Set(made.map(({ device }) => resolved.speaker(device)))]],
    )
  }
}

/** Names of one device whose numbers are not known yet. */
interface Wanted {
  readonly channels: Set<string>
  readonly boots: Set<string>
}

/** The numbers that one transaction works with. */
export class Resolved {
  readonly learned = new Map<string, Speaker>()
  readonly #known: ReadonlyMap<string, Speaker>

  constructor(known: ReadonlyMap<string, Speaker>) {
    this.#known = known
  }

  speaker(device: string): number | undefined {
    return this.#known.get(device)?.id ?? this.learned.get(device)?.id
  }

  channel(device: string, key: string): number | undefined {
    return this.#known.get(device)?.channels.get(key) ?? this.learned.get(device)?.channels.get(key)
  }

  boot(device: string, boot: string): number | undefined {
    return this.#known.get(device)?.boots.get(boot) ?? this.learned.get(device)?.boots.get(boot)
  }

  channelCount(device: string): number {
    return (this.#known.get(device)?.channels.size ?? 0) + (this.learned.get(device)?.channels.size ?? 0)
  }

  missing({ device, boot, seq, readings }: PlacedPack): Wanted | null {
    const channels = new Set<string>()
    for (const { channel, unit } of readings) {
      const key = channelKey(channel, unit)
      if (this.channel(device, key) === undefined) channels.add(key)
    }
    const boots = new Set<string>()
    if (boot !== null && seq !== null && this.boot(device, boot) === undefined) boots.add(boot)
    const isNew = this.speaker(device) === undefined
    return isNew || channels.size > 0 || boots.size > 0 ? { channels, boots } : null
  }

  add(device: string, id: number): void {
    this.#entry(device, id)
  }

  addChannel(device: string, key: string, id: number): void {
    this.#entry(device).channels.set(key, id)
  }

  addBoot(device: string, boot: string, id: number): void {
    this.#entry(device).boots.set(boot, id)
  }

  #entry(device: string, id = this.speaker(device)!): Speaker {
    let entry = this.learned.get(device)
    if (entry === undefined) this.learned.set(device, (entry = { id, channels: new Map(), boots: new Map() }))
    return entry
  }
}

/** Neither a channel's name nor a unit holds a line break, once it is in the database at the latest. */
export function channelKey(name: string, unit: string): string {
  return `${name}\n${unit}`
}

function fromKey(key: string): { name: string; unit: string } {
  const at = key.indexOf('\n')
  return { name: key.slice(0, at), unit: key.slice(at + 1) }
}
