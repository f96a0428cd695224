import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import {
  deviceAlarm,
  MAX_ALARM_BYTES,
  MAX_ALARM_CHANNELS,
  MAX_ALARM_RULES,
  MAX_ALARM_TEXT,
  QUIET,
} from '../../firmware-protocol/device-alarm.ts'

interface Vectors {
  readonly good: { name: string; json: string; alarm: unknown }[]
  readonly bad: { name: string; json: string; at: string }[]
}
const vectors = JSON.parse(
  readFileSync(new URL('../../firmware-protocol/vectors/alarm.json', import.meta.url), 'utf8'),
) as Vectors

/** As an implementation reads it: what is no JSON is at fault as a whole. */
function read(json: string): { alarm: unknown } | { at: string } {
  let value: unknown
  try {
    value = JSON.parse(json)
  } catch {
    return { at: '' }
  }
  const parsed = deviceAlarm.safeParse(value)
  return parsed.success ? { alarm: parsed.data } : { at: parsed.error.issues[0]!.path.join('.') }
}

describe('the alarm topic', () => {
  it.each(vectors.good)('reads: $name', ({ json, alarm }) => {
    expect(read(json)).toEqual({ alarm })
  })

  it.each(vectors.bad)('refuses: $name', ({ json, at }) => {
    expect(read(json)).toEqual({ at })
  })

  it('is quiet when nothing stands', () => {
    expect(QUIET).toEqual(vectors.good[0]!.alarm)
  })

  it('fits the buffer that it promises, even when all is at its limit and beyond ASCII', () => {
    const most = deviceAlarm.parse({
      standing: Number.MAX_SAFE_INTEGER,
      unacknowledged: Number.MAX_SAFE_INTEGER,
      priority: 'critical',
      rules: Array.from({ length: MAX_ALARM_RULES }, () => 'r'.repeat(40)),
      sinceS: Number.MAX_SAFE_INTEGER,
      sound: true,
      lampOff: true,
      hot: Array.from({ length: MAX_ALARM_CHANNELS }, () => 'c'.repeat(128)),
      text: '€'.repeat(MAX_ALARM_TEXT),
    })
    expect(Buffer.byteLength(JSON.stringify(most))).toBeLessThanOrEqual(MAX_ALARM_BYTES)
  })
})
