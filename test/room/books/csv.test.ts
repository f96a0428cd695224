import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { asPlainText, csvText, fromPlainText, readCsv } from '../../../broker/room/books/tables/csv.ts'

const cell = fc.oneof(
  fc.string({ unit: 'binary' }),
  fc.constantFrom(
    '',
    'a,b',
    'say "so"',
    'two\r\nlines',
    ' ahead',
    '=1+1',
    "'=1",
    ';',
    '\uFEFFx',
    '-5',
    '\n=1',
    '＝1',
  ),
)

describe('tables of text', () => {
  it('read back what they wrote, whatever stands in the cells', () => {
    const lines = fc
      .integer({ min: 2, max: 5 })
      .chain(width =>
        fc.array(fc.array(cell, { minLength: width, maxLength: width }), { minLength: 1, maxLength: 6 }),
      )
    fc.assert(
      fc.property(lines, rows => {
        // Its first line holds headings, which are ours: no semicolons among them.
        const table = [rows[0]!.map((_, at) => `heading ${at}`), ...rows]
        expect(readCsv(csvText(table))).toEqual(table)
      }),
    )
  })

  it('are as RFC 4180 says (Shafranovich 2005, section 2)', () => {
    expect(csvText([['aaa', 'b "b"', 'c,c']])).toBe('aaa,"b ""b""","c,c"\r\n')
    expect(readCsv('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx')).toEqual([
      ['aaa', 'b\r\nbb', 'ccc'],
      ['zzz', 'yyy', 'xxx'],
    ])
    expect(readCsv('"aaa","b""bb","ccc"')).toEqual([['aaa', 'b"bb', 'ccc']])
  })

  it('are read as spreadsheets write them: with a mark ahead, LF alone, semicolons, an empty end', () => {
    expect(readCsv('\uFEFFa;b\n1,5;2\n\n')).toEqual([
      ['a', 'b'],
      ['1,5', '2'],
    ])
    expect(readCsv('')).toEqual([])
    expect(() => readCsv('a,"b')).toThrow(/no end/)
    expect(() => readCsv('id,name\r\nx,"y')).toThrow('the cell at line 2, character 3 begins')
  })

  it('hold no formulas, and give back the text all the same', () => {
    for (const formula of ['=1+1', '+1', '-1', '@x', '\tx', '\n=1', '＝1', '＠x', "'=1", "''=1"])
      expect(asPlainText(formula)).toMatch(/^'/)
    fc.assert(fc.property(cell, text => void expect(fromPlainText(asPlainText(text))).toBe(text)))
  })
})
