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
  it('name the nearest spoon, and by how much it is off where that is more than 15 %', () => {
    // An eighth of a teaspoon of 3 g is 0.375 g, a quarter 0.75 g.
    expect(cystSpoons(0.375)).toBe('⅛ teaspoon')
    expect(about(cystSpoons(0.75))).toBe('about ¼ teaspoon')
    expect(cystSpoons(0.85)).toBe('¼ teaspoon')
    expect(cystSpoons(0.94)).toBe('¼ + ⅛ teaspoon, 20 % too much')
    expect(cystSpoons(0.5)).toBe('⅛ teaspoon, 25 % too little')
    expect(about(cystSpoons(0.3))).toBe('about ⅛ teaspoon, 25 % too much')
  })
  it('send only what is less than half of the smallest spoon to the scale', () => {
    expect(cystSpoons(0.19)).toBe('⅛ teaspoon, 97 % too much')
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
    expect(airText(2.44)).toBe('2.4 l/min')
  })
  it('do not flicker with the noise of light', () => {
    expect(lightText(1904)).toBe(lightText(1934))
    expect(lightText(2040)).toBe('2,000 lx')
    expect(lightText(0)).toBe('0 lx')
    expect(lightText(7.4)).toBe('7 lx')
  })
  it('drop needless zeros', () => expect(litresText(2)).toBe('2 L'))
})
