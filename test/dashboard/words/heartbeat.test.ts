import { expect, it } from 'vitest'
import { deviceSettingsWords, inForceWords } from '../../../dashboard/words/device-settings.ts'
import { heartbeatWords } from '../../../dashboard/words/heartbeat.ts'

const NOW = Date.parse('2026-03-01T12:00:00Z')
const settings = {
  url: 'https://watcher.example/x',
  method: 'GET',
  everyMinutes: 5,
  tellTrouble: false,
} as const
const well = { settings, lastBeatAt: '2026-03-01T11:58:00.000Z', ailments: [], missed: null, failing: false }
const zone = { locale: 'en-GB', timeZone: 'UTC' }

it('says how the heartbeat stands', () => {
  const words = (more: object) => heartbeatWords({ ...well, ...more }, NOW, zone)
  expect(words({ settings: null }).words).toBe('Nobody would notice if this machine died.')
  expect(words({})).toEqual({ good: true, words: 'The last call that got through: 11:58.' })
  expect(words({ lastBeatAt: null }).good).toBeNull()
  expect(words({ ailments: ['Devices cannot connect.'] })).toEqual({
    good: false,
    words:
      'Calls have stopped, because not all is well here: Devices cannot connect. The last call that got through: 11:58.',
  })
  const missed = 'The receiver answered with status 500'
  expect(words({ missed }).words).toBe(
    `${missed}. It is tried again soon. The last call that got through: 11:58.`,
  )
  expect(words({ missed, failing: true, lastBeatAt: null }).words).toBe(
    `${missed}. It is tried again all the time. No call got through since the start.`,
  )
})

it('says how a device measures, and whether it goes by that', () => {
  const usual = { sampleIntervalS: 1, reportIntervalS: 5, silentBrokerMinutes: 10, limits: {} }
  expect(deviceSettingsWords(usual)).toBe(
    'Measures each second, sends every 5 s, sounds after 10 min without an answer.',
  )
  const limits = { water: { high: 29.4 } }
  expect(
    deviceSettingsWords({
      ...usual,
      sampleIntervalS: 30,
      reportIntervalS: 60,
      silentBrokerMinutes: 0,
      limits,
    }),
  ).toBe(
    'Measures every 30 s, sends every 60 s, does not sound when nobody answers it, has a limit of its own.',
  )
  expect(inForceWords(0, 0, true)).toMatch(/^Nobody has set/)
  expect(inForceWords(3, 3, false)).toBe('In force on the device.')
  expect(inForceWords(3, 2, true)).toMatch(/still goes by earlier/)
  expect(inForceWords(3, null, true)).toMatch(/does not say/)
  expect(inForceWords(3, 2, false)).toMatch(/off line/)
})
