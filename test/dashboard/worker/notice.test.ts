import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { PATTERNS } from '../../../dashboard/alarm/tones.ts'
import { noticeOf, notAcknowledged, readData, readPush } from '../../../dashboard/worker/notice.ts'

const NOW = 1_767_225_600_000
const sent = (over: object = {}) =>
  JSON.stringify({
    about: 'alarm',
    occasion: 'raised',
    priority: 'critical',
    title: 'Move the lamp away',
    text: 'Water 29.9 °C',
    alarmId: 'a1',
    acknowledgePath: '/a/token',
    openPath: '/vessel/v1',
    sentAtMs: NOW - 5,
    ...over,
  })
const shown = (over: object = {}) => noticeOf(readPush(sent(over), NOW)).options

describe('a notice', () => {
  it.each(['critical', 'high', 'low'] as const)('shakes for %s as the open page does', priority => {
    expect(shown({ priority })).toMatchObject({
      vibrate: PATTERNS[priority].shake,
      silent: false,
      requireInteraction: priority === 'critical',
    })
  })

  it('of a reminder, or that it is over, is quiet: a silent one must have no pattern', () => {
    for (const occasion of ['over', 'reminder']) {
      const options = shown({ occasion })
      expect(options).toMatchObject({ silent: true, renotify: false, requireInteraction: false, actions: [] })
      expect(options).not.toHaveProperty('vibrate')
    }
  })

  it('has a tag for each alarm, and one of its own for what is about none', () => {
    expect(shown().tag).toBe(shown({ occasion: 'again', sentAtMs: NOW }).tag)
    expect(shown().tag).not.toBe(shown({ alarmId: 'a2' }).tag)
    const reminder = (sentAtMs: number) => shown({ about: 'reminder', alarmId: null, sentAtMs }).tag
    expect(reminder(1)).not.toBe(reminder(2))
    for (const tag of [shown().tag, reminder(1)]) expect(tag).not.toBe('')
  })

  it('leads to our own pages only', () => {
    for (const path of [
      '//evil.example/',
      '/\\evil.example',
      'https://evil.example',
      'javascript:x',
      '',
      7,
    ]) {
      expect(readPush(sent({ openPath: path, acknowledgePath: path }), NOW)).toMatchObject({
        openPath: '/',
        acknowledgePath: null,
      })
      expect(readData({ openPath: path, acknowledgePath: path })).toMatchObject({
        openPath: '/',
        acknowledgePath: null,
      })
    }
  })

  it('is always one that a browser takes, whatever was sent', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string(), fc.json(), fc.constant(null)), text => {
        const { title, options } = noticeOf(readPush(text, NOW))
        expect(title).not.toBe('')
        expect(options.tag).not.toBe('')
        expect(options.silent && options.vibrate !== undefined).toBe(false)
        expect(Number.isFinite(options.timestamp)).toBe(true)
        expect(options.actions.length === 0 || options.silent === false).toBe(true)
      }),
    )
  })

  it('that an acknowledgement did not get through sounds in the place of the first, and can be tried again', () => {
    const { title, options } = notAcknowledged(readData(shown().data), NOW)
    expect(title).toBe('Not acknowledged: Move the lamp away')
    expect(options).toMatchObject({ tag: 'alarm-a1', silent: false, requireInteraction: true })
    expect(options.actions).toHaveLength(1)
    expect(readData(options.data)).toEqual(readData(shown().data))
  })
})
