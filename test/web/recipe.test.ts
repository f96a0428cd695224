import { describe, expect, it } from 'vitest'
import { readHydrometer } from '../../broker/hatch/recipe/hydrometer.ts'
import { recipe } from '../../broker/hatch/recipe/recipe.ts'
import { Hydrometer, Recipe } from '../../broker/web/api/recipe.ts'
import { answer, bench, refusal } from './harness.ts'

const { ask } = bench()
const get = (path: string) => ask('GET', `/api/v1${path}`)

describe('the recipe over HTTP', () => {
  it('is the whole list, for the litres alone', async () => {
    const made = await answer(await get('/recipe?litres=2'), 200, Recipe)
    expect(made).toEqual(JSON.parse(JSON.stringify(recipe({ litres: 2 }))))
    expect(made.salt).toMatchObject({ grams: 50, measure: { size: 'tablespoon', quarters: 12 } })
  })

  it('takes every wish', async () => {
    const path =
      '/recipe?litres=1.5&salinityGpl=30&cystsGpl=6&saltPurity=0.95&saltMoisture=0.02&saltSpoonG=16&cystSpoonG=2.8' +
      '&sodaSpoonG=5&waterC=26&buffer=magnesium-sulphate&waterKind=soft'
    const made = await answer(await get(path), 200, Recipe)
    expect(made.salt.grams).toBeCloseTo(45 / 0.931, 9)
    expect(made.salt.measure.lowG).toBe(made.salt.measure.highG)
    expect(made.buffer).toBeNull()
    expect(made.warnings.map(({ field }) => field)).toEqual(['cystsGpl', 'buffer'])
    const spooned = await answer(await get('/recipe?litres=1&cystSpoonsPerL=1'), 200, Recipe)
    expect(spooned.cysts.grams).toBe(3)
  })

  it.each([
    ['', 'litres'],
    ['litres=0', 'litres'],
    ['litres=abc', 'litres'],
    ['litres=1e999', 'litres'],
    ['litres=101', 'litres'],
    ['litres=1&salinityGpl=121', 'salinityGpl'],
    ['litres=1&cystsGpl=0', 'cystsGpl'],
    ['litres=1&saltPurity=1.1', 'saltPurity'],
    ['litres=1&saltSpoonG=1', 'saltSpoonG'],
    ['litres=1&cystSpoonG=NaN', 'cystSpoonG'],
    ['litres=1&buffer=chalk', 'buffer'],
  ])('names the field that is wrong: %s', async (query, field) => {
    expect((await refusal(await get(`/recipe?${query}`), 422)).fields).toEqual([field])
  })
})

describe('a hydrometer over HTTP', () => {
  it('is read on the scale that it has', async () => {
    const read = await answer(
      await get(`/hydrometer?reading=1.025&basis=${encodeURIComponent('60/60F')}&temperatureC=25`),
      200,
      Hydrometer,
    )
    expect(read).toEqual(readHydrometer(1.025, '60/60F', 25))
    expect(read.lowestGpkg).toBeLessThan(read.salinityGpkg)
    // A slash need not be written in code in a query.
    await answer(await get('/hydrometer?reading=1.025&basis=20/4&temperatureC=25'), 200, Hydrometer)
  })

  it.each([
    ['basis=20/4&temperatureC=25', 'reading'],
    ['reading=1025&basis=20/4&temperatureC=25', 'reading'],
    ['reading=1.02&basis=20/7&temperatureC=25', 'basis'],
    ['reading=1.02&basis=20/4&temperatureC=41', 'temperatureC'],
  ])('names the field that is wrong: %s', async (query, field) => {
    expect((await refusal(await get(`/hydrometer?${query}`), 422)).fields).toEqual([field])
  })
})
