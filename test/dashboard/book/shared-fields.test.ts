import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  keptByNow,
  NOTHING_UNSENT,
  openFields,
  sentFrom,
  settled,
  typedHere,
  unsentOf,
  type Fields,
  type SharedFields,
} from '../../../dashboard/book/shared-fields.ts'

const KEPT = { litres: '1', cystsG: '2', lot: '' }
const opened = openFields(KEPT, NOTHING_UNSENT)

describe('a form on two screens', () => {
  it('shows what another screen writes in a field that nobody types here', () => {
    const now = keptByNow(opened, { ...KEPT, cystsG: '2.5' })
    expect(now.shown).toEqual({ ...KEPT, cystsG: '2.5' })
    expect(now.clashes).toEqual({})
  })

  it('leaves what is typed here alone while another field changes elsewhere', () => {
    const now = keptByNow(typedHere(opened, { litres: '1.5' }), { ...KEPT, lot: 'spring' })
    expect(now.shown).toEqual({ ...KEPT, litres: '1.5', lot: 'spring' })
    expect(now.unsent.typed).toEqual({ litres: '1.5' })
    expect(now.clashes).toEqual({})
  })

  it('tells what another wrote in the field that is typed here, and keeps what is typed', () => {
    const now = keptByNow(typedHere(opened, { litres: '1.5' }), { ...KEPT, litres: '1.2' })
    expect(now.shown['litres']).toBe('1.5')
    expect(now.clashes).toEqual({ litres: { stands: '1.5', other: '1.2', here: true } })
    expect(settled(now, 'litres').clashes).toEqual({})
    expect(typedHere(now, { litres: '1.2' }).clashes).toEqual({})
  })

  it('tells what was written here when another screen wrote over it', () => {
    const sent = sentFrom(typedHere(opened, { litres: '1.5' }), { litres: '1.5' })
    const now = keptByNow(sent, { ...KEPT, litres: '1.2' })
    expect(now.shown['litres']).toBe('1.2')
    expect(now.clashes).toEqual({ litres: { stands: '1.2', other: '1.5', here: false } })
  })

  it('goes on telling what was written here while the other types on, until the other comes to write the same', () => {
    const sent = sentFrom(typedHere(opened, { litres: '1.5' }), { litres: '1.5' })
    const over = keptByNow(keptByNow(sent, { ...KEPT, litres: '1.2' }), { ...KEPT, litres: '1.25' })
    expect(over.clashes).toEqual({ litres: { stands: '1.25', other: '1.5', here: false } })
    expect(keptByNow(over, { ...KEPT, litres: '1.5' }).clashes).toEqual({})
  })

  it('takes its own words that come back for no news, also while it is typed on', () => {
    const sending = { ...typedHere(opened, { litres: '1' }), sending: { litres: '1' } }
    const typedOn = typedHere({ ...sending, kept: { ...KEPT, litres: '9' } }, { litres: '1.5' })
    const echo = keptByNow(typedOn, { ...KEPT, litres: '1' })
    expect(echo.clashes).toEqual({})
    expect(echo.shown['litres']).toBe('1.5')
    const answered = sentFrom(echo, { litres: '1' })
    expect(answered.unsent).toEqual({ typed: { litres: '1.5' }, over: { litres: '1' } })
    expect(keptByNow(answered, { ...KEPT, litres: '1.5' }).unsent).toEqual(NOTHING_UNSENT)
  })

  it('brings back what was not sent any more, but not over what another wrote since', () => {
    const before = typedHere(opened, { litres: '1.5', lot: 'spring' }).unsent
    const again = openFields({ ...KEPT, lot: 'autumn' }, before)
    expect(again.shown).toEqual({ ...KEPT, litres: '1.5', lot: 'autumn' })
    expect(again.unsent.typed).toEqual({ litres: '1.5' })
    expect(again.clashes).toEqual({ lot: { stands: 'autumn', other: 'spring', here: false } })
  })

  it('reads what an older version kept on this screen', () => {
    expect(openFields(KEPT, unsentOf({ litres: '3' })).shown['litres']).toBe('3')
    expect(unsentOf(null)).toEqual(NOTHING_UNSENT)
  })

  it('loses nothing that was written on two screens, in whatever order it gets through', () => {
    const step = fc.record({
      screen: fc.integer({ min: 0, max: 1 }),
      act: fc.constantFrom('type' as const, 'send' as const),
      name: fc.constantFrom('litres', 'lot'),
    })
    fc.assert(
      fc.property(fc.array(step, { maxLength: 40 }), steps => {
        let kept: Fields = KEPT
        const screens: [SharedFields, SharedFields] = [opened, opened]
        const last: [Record<string, string>, Record<string, string>] = [{}, {}]
        let n = 0
        const send = (screen: 0 | 1) => {
          const part = screens[screen].unsent.typed
          kept = { ...kept, ...part }
          screens[screen] = keptByNow(sentFrom(screens[screen], part), kept)
          const other = screen === 0 ? 1 : 0
          screens[other] = keptByNow(screens[other], kept)
        }
        for (const { screen: which, act, name } of steps) {
          const screen = which === 0 ? 0 : 1
          if (act === 'send') send(screen)
          else {
            const value = `${screen}-${n++}`
            last[screen][name] = value
            screens[screen] = typedHere(screens[screen], { [name]: value })
          }
        }
        send(0)
        send(1)
        // All show the same in the end, and what either wrote last in a field stands there or beside it.
        expect(screens[0].shown).toEqual(screens[1].shown)
        for (const screen of [0, 1] as const)
          for (const [name, value] of Object.entries(last[screen])) {
            const { shown, clashes } = screens[screen]
            const there = [shown[name], clashes[name]?.other, clashes[name]?.stands]
            expect(there).toContain(value)
          }
      }),
    )
  })
})
