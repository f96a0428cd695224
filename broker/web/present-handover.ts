import type { Guest } from '../room/handover/guests.ts'
import type { BroughtIn, GuestBatch } from './api/handover.ts'
import { iso, isoOrNull } from './times.ts'

export function guest({ broughtInAtMs, by, writtenAt, writtenBy, names }: Guest): BroughtIn {
  return { at: iso(broughtInAtMs), by, writtenAt, writtenBy, names }
}

export function guestBatch(of: Guest): GuestBatch {
  const { id, vessel, startedAtMs, endedAtMs, litres, cystsG, salinityGpl, lot, bytes } = of
  return {
    id,
    vesselName: vessel,
    startedAt: iso(startedAtMs),
    endedAt: isoOrNull(endedAtMs),
    litres,
    cystsG,
    salinityGpl,
    lot,
    bytes,
    broughtIn: guest(of),
  }
}
