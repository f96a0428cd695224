import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { bench } from '../web/harness.ts'
import { seeded, share } from './inputs.ts'

const { ask } = bench()
const { tables } = (await (await ask('GET', '/api/v1/tables')).json()) as {
  tables: { name: string; headings: string[] }[]
}
const cell = fc.oneof(
  fc.string({ unit: 'binary', maxLength: 20 }),
  fc.constantFrom(
    '',
    '1',
    '-1',
    '1e999',
    'NaN',
    '2026-11-25T06:40:00Z',
    '=1+1',
    '"',
    '""',
    '\r\n',
    ',',
    '__proto__',
  ),
  fc.double().map(String),
)
/** A table's text: mostly its own headings and as many cells, quoted or not. */
const csv = ({ headings }: { headings: string[] }) =>
  fc
    .tuple(
      fc.oneof({ weight: 5, arbitrary: fc.constant(headings) }, { weight: 1, arbitrary: fc.array(cell) }),
      fc.array(fc.array(cell, { minLength: 0, maxLength: headings.length + 1 }), { maxLength: 4 }),
      fc.boolean(),
    )
    .map(([head, rows, quoted]) =>
      [head, ...rows]
        .map(row => row.map(text => (quoted ? `"${text.replaceAll('"', '""')}"` : text)).join(','))
        .join('\r\n'),
    )

describe('a file that is brought in', () => {
  it.each(tables)('as $name is taken or refused, row by row, and breaks nothing', async table => {
    const numRuns = Math.max(5, Math.ceil(share(100) / tables.length))
    // Anew now and then: what was set aside heaps up, and each row is compared with all.
    let service = bench()
    let asked = 0
    await fc.assert(
      fc.asyncProperty(csv(table), async text => {
        const headers = { 'content-type': 'text/csv' }
        if (++asked % 50 === 0) {
          expect(service.logged).toEqual([])
          service = bench()
        }
        const response = await service.ask('POST', `/api/v1/import/${table.name}`, text, { headers })
        expect(response.status, await response.text()).toBeLessThan(500)
      }),
      { numRuns, ...seeded },
    )
    expect(service.logged).toEqual([])
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined()
  })
})
