import { describe, expect, it } from 'vitest'
import { guessMeasure, unlikely } from '../../../dashboard/topics/guess.ts'
import { MEASURES } from '../../../dashboard/topics/measures.ts'

const named = (id: string) => MEASURES.find(each => each.id === id)!
const doubt = (id: string, value: number) => {
  const measure = named(id)
  return unlikely(measure, measure.scale, measure.offset, value)
}

describe('what a number of somebody else’s may be', () => {
  it.each([
    ['home/shelf/state', '/temp_F', 'water-f'],
    ['home/shelf', '/tempF', 'water-f'],
    ['home/shelf', '/a/temperature-f', 'water-f'],
    ['home/shelf', '/Fahrenheit', 'water-f'],
    ['home/tank/tempf', null, 'water-f'],
    ['home/tank/temp/F', null, 'water-f'],
    ['home/tank_F/state', '/value', 'water-f'],
    ['home/shelf', null, 'water-c'],
    ['home/shelf', '/OFF', 'water-c'],
    ['home/brief/temp', '/half', 'water-c'],
    ['home/shelf/temp_C', '/temperature', 'water-c'],
  ])('%s %s is offered as %s', (topic, pointer, id) => expect(guessMeasure(topic, pointer).id).toBe(id))

  it.each([
    ['water-c', 79.5, '79.5 °C cannot be a vessel’s water. Is it in °F?'],
    ['water-c', 2650, '2650 °C cannot be a vessel’s water. Is its unit right?'],
    ['water-k', 26, '-247.15 °C cannot be a vessel’s water. Is its unit right?'],
    ['room-c', 79.5, '79.5 °C cannot be a room. Is it in °F?'],
    ['level-share', 80, '80 is more than full.'],
    ['air-lpm', -1, '-1 is less than nothing.'],
  ])('%s %d is marked', (id, value, words) => expect(doubt(id, value)).toBe(words))

  it.each([
    ['water-c', 28],
    ['water-f', 79.5],
    ['water-hundredths', 2650],
    ['level-percent', 80],
    ['light-lx', 20_000],
  ])('%s %d is not', (id, value) => expect(doubt(id, value)).toBeNull())
})
