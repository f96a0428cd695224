import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { readHydrometer } from '../../hatch/recipe/hydrometer.ts'
import { recipe } from '../../hatch/recipe/recipe.ts'
import { Hydrometer, HydrometerQuery, Recipe, RecipeQuery } from '../api/recipe.ts'
import type { WebEnv } from '../context.ts'
import { given, json, problems } from './describe.ts'

const tags = ['recipe']
const make = createRoute({
  method: 'get',
  path: '/recipe',
  tags,
  summary: 'What goes into a vessel: water, salt, buffer and cysts, in grams and in spoons',
  request: { query: RecipeQuery },
  responses: { 200: json(Recipe, 'The recipe.'), ...problems(422) },
})
const read = createRoute({
  method: 'get',
  path: '/hydrometer',
  tags,
  summary: 'The salinity that a hydrometer shows',
  description: 'For sea salt. Which calibration the scale has moves the answer by up to 3.8 g/kg.',
  request: { query: HydrometerQuery },
  responses: { 200: json(Hydrometer, 'The salinity.'), ...problems(422) },
})

/** Neither needs the room: the same answers come from the dashboard without a broker. */
export function recipeRoutes(): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(make, c => {
      const { steps, warnings, cautions, effects, ...made } = recipe(given(c.req.valid('query')))
      return c.json(
        {
          ...made,
          steps: [...steps],
          warnings: [...warnings],
          cautions: [...cautions],
          effects: [...effects],
        },
        200,
      )
    })
    .openapi(read, c => {
      const { reading, basis, temperatureC } = c.req.valid('query')
      return c.json(readHydrometer(reading, basis, temperatureC), 200)
    })
}
