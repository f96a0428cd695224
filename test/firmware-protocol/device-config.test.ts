import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import {
  DEFAULT_DEVICE_CONFIG,
  deviceConfig,
  deviceConfigFields,
  MAX_CONFIG_BYTES,
  MAX_LOCAL_LIMITS,
} from '../../firmware-protocol/device-config.ts'

const folder = new URL('../../firmware-protocol/', import.meta.url)
const { good, bad } = JSON.parse(readFileSync(new URL('vectors/config.json', folder), 'utf8')) as {
  good: { name: string; json: string; config: unknown }[]
  bad: { name: string; json: string }[]
}

describe('a device config', () => {
  it.each(good)('fits: $name', ({ json, config }) => {
    expect(deviceConfig.parse(JSON.parse(json))).toEqual(config)
  })

  it.each(bad)('does not fit: $name', ({ json }) => {
    expect(() => deviceConfig.parse(JSON.parse(json))).toThrow()
  })

  it('is described field by field, with its bounds and defaults', () => {
    const text = readFileSync(new URL('README.md', folder), 'utf8')
    for (const field of Object.keys(deviceConfigFields))
      expect(text).toMatch(new RegExp(`^\\| \`${field}\` \\|`, 'm'))
    for (const field of [
      'sampleIntervalS',
      'reportIntervalS',
      'stateIntervalS',
      'silentBrokerMinutes',
    ] as const) {
      const row = new RegExp(`^\\| \`${field}\` \\|.*\\| (\\d+), (\\d+) \\| (\\d+) \\|$`, 'm').exec(text)!
      const [least, most, usual] = row.slice(1).map(Number) as [number, number, number]
      expect(DEFAULT_DEVICE_CONFIG[field]).toBe(usual)
      const fits = (value: number) =>
        deviceConfig.safeParse({ silentBrokerMinutes: 0, [field]: value }).success
      expect([fits(least), fits(most), fits(least - 1), fits(most + 1)]).toEqual([true, true, false, false])
    }
    expect(text).toContain(`up to ${MAX_LOCAL_LIMITS} channels`)
    expect(text).toContain(`at most ${MAX_CONFIG_BYTES / 1024} KiB`)
  })
})
