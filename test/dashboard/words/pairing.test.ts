import { expect, it } from 'vitest'
import type { Device } from '../../../broker/web/api/devices.ts'
import { NOT_YET, pairing } from '../../../dashboard/words/pairing.ts'
import { device, iso, NOW_MS } from '../room.ts'

const MADE_MS = NOW_MS - 60_000
const REDEEMED_MS = NOW_MS - 40_000
const sent = device([['water', 'Cel']])
const sentAt = (ms: number) =>
  sent.channels.map(channel => ({ ...channel, latest: { ...channel.latest, at: iso(ms) } }))
const now = (change: Partial<Device>): Device => ({ ...sent, online: false, channels: [], ...change })
const follow = (...states: (Device | undefined)[]) =>
  states.reduce((before, state) => pairing(before, state, MADE_MS), NOT_YET)

it('waits while nobody came, or a code before it was redeemed', () => {
  expect(follow(undefined, now({}), now({ pairedAt: iso(MADE_MS - 1) }))).toEqual(NOT_YET)
})

it('knows when the code was redeemed, and when the first reading came of a device that sends and leaves', () => {
  const paired = now({ pairedAt: iso(REDEEMED_MS), newPasswordUntil: iso(NOW_MS + 1e6) })
  const came = { ...paired, newPasswordUntil: null, channels: sentAt(NOW_MS - 20_000) }
  const later = { ...came, channels: sentAt(NOW_MS) }
  expect(follow(paired)).toEqual({ redeemedMs: REDEEMED_MS, readingMs: null })
  expect(follow(paired, came, later)).toEqual({ redeemedMs: REDEEMED_MS, readingMs: NOW_MS - 20_000 })
  expect(follow(came)).toEqual({ redeemedMs: REDEEMED_MS, readingMs: NOW_MS - 20_000 })
})

it('does not take for it what is sent with the password before, or was sent before', () => {
  const paired = now({ pairedAt: iso(REDEEMED_MS), channels: sentAt(NOW_MS) })
  expect(follow(now({ channels: sentAt(NOW_MS) }))).toEqual(NOT_YET)
  expect(follow({ ...paired, newPasswordUntil: iso(NOW_MS + 1e6) }).readingMs).toBeNull()
  expect(follow({ ...paired, channels: sentAt(REDEEMED_MS - 1) }).readingMs).toBeNull()
})
