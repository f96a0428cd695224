import { createRoute, OpenAPIHono, z } from '@hono/zod-openapi'
import { beyondBounds } from '../../json-bounds.ts'
import { headingOf } from '../../room/books/tables/cells.ts'
import { ImportReport, SetAsideList, TableByName, TableList } from '../api/tables.ts'
import { ById } from '../api/requests.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { HttpProblem } from '../problem.ts'
import { iso } from '../times.ts'
import { json, problems } from './describe.ts'

const tags = ['export']
/** A document is tables of rows of cells: of 64 MiB, some 300,000 rows. */
const BOUNDS = { depth: 16, containers: 1_000_000, keys: 6_000_000, names: 10_000, values: 8_000_000 }
const list = createRoute({
  method: 'get',
  path: '/tables',
  tags,
  summary: 'What can be written out and brought in again, with its headings',
  responses: {
    200: json(TableList, 'The tables, in the order in which they are brought in.'),
    ...problems(),
  },
})
const everything = createRoute({
  method: 'get',
  path: '/export',
  tags,
  summary: 'All tables as one JSON document',
  responses: { 200: json(z.object({}).loose(), 'The document.'), ...problems() },
})
const csv = createRoute({
  method: 'get',
  path: '/export/{table}',
  tags,
  summary: 'One table as RFC 4180 text',
  description:
    'Headings have the unit behind the key. Text that a spreadsheet would take for a formula has an apostrophe before it.',
  request: { params: TableByName },
  responses: {
    200: { description: 'The table.', content: { 'text/csv': { schema: z.string() } } },
    ...problems(422),
  },
})
const bringAll = createRoute({
  method: 'post',
  path: '/import',
  tags,
  summary: 'Bring a document in that was written out before',
  description:
    'What is here already is left as it is; rows that cannot be taken are kept aside and reported.',
  request: { body: { required: true, content: { 'application/json': { schema: z.object({}).loose() } } } },
  responses: { 200: json(ImportReport, 'What became of its rows.'), ...problems(413, 415, 422) },
})
const bringOne = createRoute({
  method: 'post',
  path: '/import/{table}',
  tags,
  summary: 'Bring a table in, as text/csv',
  request: { params: TableByName },
  responses: { 200: json(ImportReport, 'What became of its rows.'), ...problems(413, 415, 422) },
})
const aside = createRoute({
  method: 'get',
  path: '/import/set-aside',
  tags,
  summary: 'Rows that could not be taken, as they came, the newest first',
  responses: { 200: json(SetAsideList, 'The rows.'), ...problems() },
})
const drop = createRoute({
  method: 'delete',
  path: '/import/set-aside/{id}',
  tags,
  summary: 'Drop a row that was kept aside',
  request: { params: ById },
  responses: { 204: { description: 'Gone.' }, ...problems(404, 422) },
})

export function tableRoutes({ books }: WebOptions): OpenAPIHono<WebEnv> {
  const { tables } = books
  const app = new OpenAPIHono<WebEnv>()
  app.use('/import', async function refuseWhatIsTooMuchToParse(c, next) {
    const beyond =
      c.req.method === 'POST' ? beyondBounds(new Uint8Array(await c.req.arrayBuffer()), BOUNDS) : null
    if (beyond !== null)
      throw new HttpProblem(
        422,
        `Cannot read the document: it is ${beyond}, and none that was exported here is`,
      )
    await next()
  })
  return app
    .openapi(list, c => {
      const all = tables.all.map(({ name, about, columns }) => ({
        name,
        about,
        headings: columns.map(headingOf),
      }))
      return c.json({ tables: all }, 200)
    })
    .openapi(everything, async () => file('brinewatch.json', 'application/json', await tables.json()))
    .openapi(csv, async c => {
      const { table } = c.req.valid('param')
      const text = await tables.csv(table)
      return file(`${table}.csv`, 'text/csv; charset=utf-8; header=present', text)
    })
    .openapi(aside, async c => {
      const rows = (await tables.setAside()).map(({ atMs, ...row }) => ({
        ...row,
        cells: { ...row.cells },
        at: iso(atMs),
      }))
      return c.json({ rows }, 200)
    })
    .openapi(drop, async c => {
      await tables.dropSetAside(c.req.valid('param').id)
      return c.body(null, 204)
    })
    .openapi(bringAll, async c => {
      c.req.valid('json')
      return c.json(reported(await tables.importJson(await c.req.text())), 200)
    })
    .openapi(bringOne, async c => {
      if (!/^text\/csv\b/i.test(c.req.header('content-type') ?? ''))
        throw new HttpProblem(415, 'Cannot bring the table in: send it as text/csv')
      return c.json(reported(await tables.importCsv(c.req.valid('param').table, await c.req.text())), 200)
    })
}

const reported = ({
  tables,
  refusals,
}: Awaited<ReturnType<WebOptions['books']['tables']['importJson']>>) => ({
  tables: [...tables],
  refusals: [...refusals],
})

function file(name: string, media: string, text: string): never {
  const headers = { 'Content-Type': media, 'Content-Disposition': `attachment; filename="${name}"` }
  return new Response(text, { headers }) as never
}
