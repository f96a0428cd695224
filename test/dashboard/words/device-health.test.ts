import { describe, expect, it } from 'vitest'
import type { Device } from '../../../broker/web/api/devices.ts'
import { deviceCondition } from '../../../dashboard/words/device.ts'
import { deviceFacts } from '../../../dashboard/words/device-health.ts'
import { device, HOUR_MS, iso, NOW_MS, settings } from '../room.ts'

const said = (change: Partial<Device>) =>
  deviceFacts({ ...device([['water', 'Cel']]), rssiDbm: null, ...change }, NOW_MS).map(
    ({ warn, words }) => `${warn ? '! ' : ''}${words}`,
  )
const startedAt = iso(NOW_MS - 3 * HOUR_MS)

describe('what a device says of itself', () => {
  it('is nothing where it says nothing', () => expect(said({})).toEqual([]))
  it.each([
    [{ startedAt, resetReason: 'power-on' }, 'Switched on, or the power came back, 3 h ago'],
    [{ startedAt, resetReason: 'software' }, 'Restarted 3 h ago: it was told to'],
    [
      { startedAt, resetReason: 'brown-out' },
      '! Restarted 3 h ago: the power dipped. Look at its supply and its plug',
    ],
    [{ startedAt, resetReason: 'gamma ray' }, 'Restarted 3 h ago: gamma ray'],
    [{ startedAt, resetReason: null }, 'Restarted 3 h ago'],
    [{ startedAt: iso(NOW_MS - 72 * HOUR_MS), resetReason: 'watchdog' }, 'Up for 3 days'],
    [{ backlog: 1312 }, '1,312 readings waiting on it; they are coming in'],
    [{ backlog: 1312, online: false }, '! 1,312 readings waiting on it, when it was heard last'],
    [{ dropped: 40 }, '! 40 readings lost: it was cut off for longer than it can remember'],
    [{ rssiDbm: -61 }, 'Good signal (−61 dBm)'],
    [{ rssiDbm: -81 }, '! Weak signal (−81 dBm). Move it, or the router, closer'],
    [{ clockErrorMs: 3000 }, 'Its clock is 3 s fast'],
    [
      { clockErrorMs: -90_000 },
      '! Its clock is 1 min slow. Restart it; readings after a power cut may be out of place',
    ],
    [{ freeBytes: 9000 }, '! Only 9 kB of memory free'],
    [
      { newPasswordUntil: iso(NOW_MS + 2 * HOUR_MS) },
      '! It has not used its new password yet, which is void in 2 h',
    ],
  ])('%j is told as %s', (change, words) => expect(said(change)).toEqual([words]))

  it.each([
    { backlog: 12 },
    { dropped: 0 },
    { clockErrorMs: 300 },
    { freeBytes: 90_000 },
    { newPasswordUntil: iso(NOW_MS - 1) },
  ])('%j is not worth a word', change => expect(said(change)).toEqual([]))

  it('begins with what wants doing', () => {
    expect(said({ startedAt, rssiDbm: -61, dropped: 3 })[0]).toMatch(/^! 3 readings lost/)
  })

  it('is that it was revoked, whatever else there is', () => {
    const revoked = { ...device([['water', 'Cel', 'v1']]), revokedAt: iso(NOW_MS - HOUR_MS) }
    expect(deviceCondition(revoked, settings(), NOW_MS)).toEqual({
      state: 'revoked',
      words: 'Revoked 1 h ago: it may not speak any more',
    })
  })
})
