import { describe, expect, it } from 'vitest'
import { dueOf, remindersOf, type ReminderFacts } from '../../broker/rules/reminders.ts'
import { HOUR, T0 } from './helpers.ts'

const facts: ReminderFacts = {
  vesselId: 'v1',
  vesselName: 'Cone 1',
  batch: { id: 'b1', startedAtMs: T0, endedAtMs: null },
  forecast: {
    firstHatchMs: T0 + 14 * HOUR,
    allHatchedMs: T0 + 22 * HOUR,
    harvestFromMs: T0 + 20 * HOUR,
    harvestBestMs: T0 + 23 * HOUR,
    harvestUntilMs: T0 + 26 * HOUR,
  },
}
const kindsAt = (hour: number, of = facts, done: string[] = []) =>
  dueOf(remindersOf(of), new Set(done), T0 + hour * HOUR).map(({ kind }) => kind)

describe('reminders', () => {
  it('come in their time and go by themselves', () => {
    expect(kindsAt(3.9)).toEqual([])
    // The ring at 4 to 6 h is common practice; no source.
    expect(kindsAt(4)).toEqual(['knock-down'])
    expect(kindsAt(6)).toEqual(['knock-down'])
    expect(kindsAt(11)).toEqual([])
    expect(kindsAt(14)).toEqual(['first-look'])
    expect(kindsAt(19.9)).toEqual(['first-look'])
    // What is to be harvested asks for no first look.
    expect(kindsAt(20)).toEqual(['harvest-opens'])
    expect(kindsAt(24.9)).toEqual(['harvest-opens'])
    expect(kindsAt(25)).toEqual(['harvest-closing'])
    expect(kindsAt(27)).toEqual([])
  })

  it('are gone once done, and only that one', () => {
    const wide = { ...facts, forecast: { ...facts.forecast!, harvestFromMs: T0 + 14.5 * HOUR } }
    expect(kindsAt(14.7, wide)).toEqual(['first-look', 'harvest-opens'])
    expect(kindsAt(14.7, wide, ['b1.first-look'])).toEqual(['harvest-opens'])
  })

  it('says of what is hardly known that it is perhaps ready, as the screen does', () => {
    const harvest = (isGuess: boolean) =>
      remindersOf({ ...facts, forecast: { ...facts.forecast!, isGuess } }).find(
        ({ kind }) => kind === 'harvest-opens',
      )!
    expect(harvest(false)).toMatchObject({ title: 'Harvest Cone 1' })
    expect(harvest(true)).toMatchObject({ id: harvest(false).id, title: 'Cone 1 is perhaps ready' })
    expect(harvest(true).text).toMatch(/look/)
  })

  it('knows the ring alone where there is no forecast', () => {
    expect(kindsAt(5, { ...facts, forecast: null })).toEqual(['knock-down'])
    expect(kindsAt(20, { ...facts, forecast: null })).toEqual([])
  })

  it('asks for cleaning after the end, and for nothing else', () => {
    const ended = { ...facts, forecast: null, batch: { ...facts.batch, endedAtMs: T0 + 5 * HOUR } }
    expect(kindsAt(5, ended)).toEqual(['cleaning'])
    expect(kindsAt(29.1, ended)).toEqual([])
  })

  it('shows one of the two about the harvest, however narrow its window', () => {
    const narrow = { ...facts.forecast!, harvestUntilMs: T0 + 23.5 * HOUR }
    for (let hour = 20; hour < 24; hour += 0.1) {
      const kinds = kindsAt(hour, { ...facts, forecast: narrow }).filter(kind => kind.startsWith('harvest'))
      expect(kinds).toHaveLength(1)
    }
  })
})
