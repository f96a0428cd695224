import { readFileSync } from 'node:fs'
import { gunzipSync, gzipSync } from 'node:zlib'
import { COLUMN } from '../../../broker/room/handover/columns.ts'
import type { HandedOver } from '../../../broker/room/handover/format.ts'
import { HOUR } from '../opened.ts'

const SEASON = new URL('../../../sim/demo/season.json.gz', import.meta.url)

export interface HeavyFile {
  /** Without its readings. */
  readonly file: HandedOver
  readonly packed: Uint8Array
}

/**
 * A sound file: six roles, and to each a device for 12 h in turn, at three readings a second: 9 MB of JSON a turn,
 * and with 6 about as heavy as one may be.
 */
export function heavyFile(turns: number): HeavyFile {
  const { batches } = JSON.parse(gunzipSync(readFileSync(SEASON)).toString()) as { batches: HandedOver[] }
  const whole = batches[0]!
  const count = 125_000
  const turnMs = 12 * HOUR
  const { startedAtMs } = whole.batch
  const afterMs = `[0,${Array.from({ length: count - 1 }, (_, n) => 326 + (n % 10)).join(',')}]`
  const values = `[${Array.from({ length: count }, (_, n) => (27 + Math.round(Math.sin(n / 997) * 5000) / 1e4).toFixed(4)).join(',')}]`
  const channels: string[] = []
  for (let turn = 0; turn < turns; turn++)
    for (const role of ['water', 'upper-water', 'room', 'air', 'light', 'level'] as const) {
      const unit = { air: 'l/min', light: 'lx', level: '/' }[role as 'air'] ?? 'Cel'
      const fromMs = startedAtMs + turn * turnMs
      const row = {
        role,
        device: `d${turn}`,
        channel: role,
        unit,
        assignmentId: `a-${turn}-${role}`,
        offset: 0,
      }
      const readings = `{"startMs":${fromMs},"afterMs":${afterMs},"${COLUMN[role]}":${values},"quality":[["good",${count}]]}`
      const held = JSON.stringify({ ...row, fromMs, toMs: fromMs + turnMs })
      channels.push(`${held.slice(0, -1)},"readings":${readings}}`)
    }
  const batch = { ...whole.batch, endedAtMs: startedAtMs + turns * turnMs }
  const rest = JSON.stringify({ ...whole, batch, channels: [] })
  const text = rest.replace('"channels":[]', () => `"channels":[${channels.join(',')}]`)
  return { file: { ...whole, batch }, packed: gzipSync(text, { level: 1 }) }
}
