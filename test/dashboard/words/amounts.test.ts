import { describe, expect, it } from 'vitest'
import {
  about,
  airText,
  cystSpoons,
  lightText,
  litresText,
  saltSpoons,
} from '../../../dashboard/words/amounts.ts'

describe('kitchen measures', () => {
  it('go by the person’s own spoon where it was weighed', () => {
    expect(saltSpoons(30, 15)).toBe('2 tablespoons')
    expect(cystSpoons(2, 2)).toBe('1 teaspoon')
    expect(cystSpoons(0.1)).toBe('too little for a spoon: weigh it')
  })
  it('name the nearest spoon, or the two it lies between where that is off by more than 15 %', () => {
    // An eighth of a teaspoon of 3 g is 0.375 g, a quarter 0.75 g.
    expect(cystSpoons(0.375)).toBe('⅛ teaspoon')
    expect(about(cystSpoons(0.75))).toBe('about ¼ teaspoon')
    expect(cystSpoons(0.85)).toBe('¼ teaspoon')
    expect(cystSpoons(0.94)).toBe('between ¼ and ¼ + ⅛ teaspoon')
    expect(cystSpoons(0.5)).toBe('between ⅛ and ¼ teaspoon')
    expect(about(cystSpoons(0.5))).toBe('between ⅛ and ¼ teaspoon')
  })
  it('send what lies clearly below the smallest spoon to the scale', () => {
    expect(cystSpoons(0.33)).toBe('⅛ teaspoon')
    expect(cystSpoons(0.3)).toBe('too little for a spoon: weigh it')
    expect(about(cystSpoons(0.18))).toBe('too little for a spoon: weigh it')
  })
  it('give the trade’s 1 2/3 to 2 tablespoons for a litre of 30 g/L', () => {
    // 15-18 g of granular salt to the tablespoon: common practice, no source.
    expect(saltSpoons(30)).toBe('1¾ tablespoons')
  })
  it('say what a few grams of cysts are', () => expect(cystSpoons(1.5)).toBe('½ teaspoon'))
})

describe('readings in words', () => {
  it('keep flow readable below and above one', () => {
    expect(airText(0.456)).toBe('0.46 l/min')
    expect(airText(2.44)).toBe('2.44 l/min')
  })
  it('do not flicker with the noise of light', () => {
    expect(lightText(1904)).toBe(lightText(1934))
    expect(lightText(2040)).toBe('2,000 lx')
    expect(lightText(0)).toBe('0 lx')
    expect(lightText(7.4)).toBe('7 lx')
  })
  it('drop needless zeros', () => expect(litresText(2)).toBe('2 L'))
})
