import type { PlacedPack } from '../../intake/reading.ts'
import { type Ranges, withValue } from '../ranges.ts'
import type { Sql } from './sql.ts'

/** Power-ups of one device that are remembered here; repeats come from the last one or two, and the database knows them all. */
const BOOTS_REMEMBERED = 4

/** The pack numbers on disk, in memory: for whoever cannot wait for an answer. Of one process that takes in alone it is whole. */
export class Seen {
  readonly #devices = new Map<string, Map<string, Ranges>>()

  async load(sql: Sql): Promise<void> {
    const rows = await sql.rows<{ device: string; boot: string; ranges: string }>(
      `SELECT speaker.name AS device, newest.name AS boot, (newest.sealed + coalesce(
         (SELECT range_agg(int8range(seq, seq, '[]')) FROM pack WHERE pack.boot = newest.id), '{}'))::text AS ranges
       FROM speaker CROSS JOIN LATERAL
         (SELECT * FROM boot WHERE boot.speaker = speaker.id ORDER BY id DESC LIMIT ${BOOTS_REMEMBERED}) AS newest
       ORDER BY newest.id`,
    )
    for (const { device, boot, ranges } of rows) this.#bootsOf(device).set(boot, rangesFrom(ranges))
  }

  of(device: string, boot: string): Ranges {
    return this.#devices.get(device)?.get(boot) ?? []
  }

  /** They are on disk. */
  add(packs: readonly PlacedPack[]): void {
    for (const { device, boot, seq } of packs) {
      if (boot === null || seq === null) continue
      const boots = this.#bootsOf(device)
      boots.set(boot, withValue(boots.get(boot) ?? [], seq))
      if (boots.size > BOOTS_REMEMBERED) boots.delete(boots.keys().next().value!)
    }
  }

  #bootsOf(device: string): Map<string, Ranges> {
    let boots = this.#devices.get(device)
    if (boots === undefined) this.#devices.set(device, (boots = new Map<string, Ranges>()))
    return boots
  }
}

/** PostgreSQL writes a set of ranges as {[1,5),[9,10)}. */
export function rangesFrom(text: string): Ranges {
  return [...text.matchAll(/\[(\d+),(\d+)\)/g)].map(([, from, to]) => [Number(from), Number(to) - 1])
}

export function rangesTo(ranges: Ranges): string {
  return `{${ranges.map(([from, to]) => `[${from},${to + 1})`).join(',')}}`
}
