import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { readSenmlCbor, writeSenmlCbor } from '../../firmware-protocol/senml-cbor.ts'
import { readSenmlJson } from '../../firmware-protocol/senml-json.ts'
import { resolveRecords, senmlRecord, SenmlVersionError } from '../../firmware-protocol/senml.ts'

const utf8 = (text: string) => new TextEncoder().encode(text)
const resolveJson = (text: string) => resolveRecords(readSenmlJson(utf8(text)))

// The examples of RFC 8428, C. Jennings et al. 2018, "Sensor Measurement Lists (SenML)".
const MULTIPLE_DATAPOINTS = `[
  {"bn":"urn:dev:ow:10e2073a0108006:","bt":1.276020076001e+09,"bu":"A","bver":5,"n":"voltage","u":"V","v":120.1},
  {"n":"current","t":-5,"v":1.2},
  {"n":"current","t":-4,"v":1.3},
  {"n":"current","t":-3,"v":1.4},
  {"n":"current","t":-2,"v":1.5},
  {"n":"current","t":-1,"v":1.6},
  {"n":"current","v":1.7}
]`

describe('the examples of RFC 8428', () => {
  it('section 5.1.1, single data point', () => {
    expect(resolveJson('[{"n":"urn:dev:ow:10e2073a01080063","u":"Cel","v":23.1}]')).toEqual({
      records: [{ name: 'urn:dev:ow:10e2073a01080063', unit: 'Cel', value: 23.1, timeS: 0 }],
      rejected: [],
    })
  })

  it('section 5.1.2, multiple data points with base fields', () => {
    const { records, rejected } = resolveJson(MULTIPLE_DATAPOINTS)
    expect(rejected).toEqual([])
    const at = 1.276020076001e9
    const name = 'urn:dev:ow:10e2073a0108006:current'
    expect(records).toEqual([
      { name: 'urn:dev:ow:10e2073a0108006:voltage', unit: 'V', value: 120.1, timeS: at },
      { name, unit: 'A', value: 1.2, timeS: at - 5 },
      { name, unit: 'A', value: 1.3, timeS: at - 4 },
      { name, unit: 'A', value: 1.4, timeS: at - 3 },
      { name, unit: 'A', value: 1.5, timeS: at - 2 },
      { name, unit: 'A', value: 1.6, timeS: at - 1 },
      { name, unit: 'A', value: 1.7, timeS: at },
    ])
  })

  it('section 5.1.3 resolves to section 5.1.4', () => {
    const { records } = resolveJson(`[
      {"bn":"urn:dev:ow:10e2073a01080063","bt":1.320067464e+09,"bu":"%RH","v":20},
      {"u":"lon","v":24.30621},
      {"u":"lat","v":60.07965},
      {"t":60,"v":20.3},
      {"u":"lon","t":60,"v":24.30622},
      {"u":"lat","t":60,"v":60.07965},
      {"t":120,"v":20.7},
      {"u":"lon","t":120,"v":24.30623},
      {"u":"lat","t":120,"v":60.07966},
      {"u":"%EL","t":150,"v":98},
      {"t":180,"v":21.2},
      {"u":"lon","t":180,"v":24.30628},
      {"u":"lat","t":180,"v":60.07967}
    ]`)
    const stated: [string, number, number][] = [
      ['%RH', 1.320067464e9, 20],
      ['lon', 1.320067464e9, 24.30621],
      ['lat', 1.320067464e9, 60.07965],
      ['%RH', 1.320067524e9, 20.3],
      ['lon', 1.320067524e9, 24.30622],
      ['lat', 1.320067524e9, 60.07965],
      ['%RH', 1.320067584e9, 20.7],
      ['lon', 1.320067584e9, 24.30623],
      ['lat', 1.320067584e9, 60.07966],
      ['%EL', 1.320067614e9, 98],
      ['%RH', 1.320067644e9, 21.2],
      ['lon', 1.320067644e9, 24.30628],
      ['lat', 1.320067644e9, 60.07967],
    ]
    expect(records).toEqual(
      stated.map(([unit, timeS, value]) => ({ name: 'urn:dev:ow:10e2073a01080063', unit, timeS, value })),
    )
  })

  it('section 5.1.5, multiple data types', () => {
    const { records } = resolveJson(`[
      {"bn":"urn:dev:ow:10e2073a01080063:","n":"temp","u":"Cel","v":23.1},
      {"n":"label","vs":"Machine Room"},
      {"n":"open","vb":false},
      {"n":"nfc-reader","vd":"aGkgCg"}
    ]`)
    expect(records.map(record => record.value)).toEqual([23.1, 'Machine Room', false, { data: 'aGkgCg' }])
  })

  it('section 6: the CBOR dump says what section 5.1.2 says', () => {
    const dump = `
      87 a7 21 78 1b 75 72 6e 3a 64 65 76 3a 6f 77 3a 31 30 65 32 30 37 33 61 30 31 30 38 30 30 36 3a
      22 fb 41 d3 03 a1 5b 00 10 62 23 61 41 20 05 00 67 76 6f 6c 74 61 67 65 01 61 56 02 fb 40 5e 06
      66 66 66 66 66 a3 00 67 63 75 72 72 65 6e 74 06 24 02 fb 3f f3 33 33 33 33 33 33 a3 00 67 63 75
      72 72 65 6e 74 06 23 02 fb 3f f4 cc cc cc cc cc cd a3 00 67 63 75 72 72 65 6e 74 06 22 02 fb 3f
      f6 66 66 66 66 66 66 a3 00 67 63 75 72 72 65 6e 74 06 21 02 f9 3e 00 a3 00 67 63 75 72 72 65 6e
      74 06 20 02 fb 3f f9 99 99 99 99 99 9a a3 00 67 63 75 72 72 65 6e 74 06 00 02 fb 3f fb 33 33 33
      33 33 33`
    const records = readSenmlCbor(Buffer.from(dump.replace(/\s/g, ''), 'hex'))
    // The dump gives the last record's time, 0, where the JSON leaves it out: resolved they are the same.
    expect(resolveRecords(records)).toEqual(resolveJson(MULTIPLE_DATAPOINTS))
  })
})

describe('resolving', () => {
  it('adds base value and base sum (section 4.1)', () => {
    const { records } = resolveJson('[{"bn":"a","bv":10,"bs":5},{"v":1,"s":2},{"n":"b","v":-3}]')
    expect(records).toEqual([
      { name: 'a', unit: null, timeS: 0, value: 11, sum: 7 },
      { name: 'ab', unit: null, timeS: 0, value: 7, sum: 5 },
    ])
  })

  it('refuses a later version as a whole, and reads earlier ones (section 4.4)', () => {
    expect(() => resolveJson('[{"bver":11,"n":"a","v":1}]')).toThrow(SenmlVersionError)
    expect(resolveJson('[{"bver":10,"n":"a","v":1}]').records).toHaveLength(1)
  })

  it.each([
    ['a name with a space', '[{"n":"a b","v":1}]'],
    ['a name that begins with a sign (section 4.5.1)', '[{"n":"_a","v":1}]'],
    ['no name at all', '[{"v":1}]'],
    ['two values (section 4.2)', '[{"n":"a","v":1,"vb":true}]'],
    ['no value', '[{"n":"a"}]'],
    ['a number as text', '[{"n":"a","v":"1"}]'],
    ['a number beyond a double', '[{"n":"a","v":1e999}]'],
    ['null', '[{"n":"a","v":null}]'],
    ['a must-understand field (section 4.4)', '[{"n":"a","v":1,"x_":0}]'],
    ['a sum of times beyond a double', '[{"bt":1.7e308,"n":"a","t":1.7e308,"v":1}]'],
    ['a version below 1', '[{"bver":0,"n":"a","v":1}]'],
    ['a nested array', '[[{"n":"a","v":1}]]'],
  ])('sets aside %s', (_, json) => {
    const { records, rejected } = resolveJson(json)
    expect(records).toEqual([])
    expect(rejected).toHaveLength(1)
    expect(rejected[0]!.detail).toMatch(/^record 1: /)
  })

  it('a refused record changes no base', () => {
    const { records } = resolveJson('[{"bn":"a"},{"bn":"b","v":"no"},{"v":1}]')
    expect(records.map(record => record.name)).toEqual(['a'])
  })

  it('agrees with the schema: a record that resolves fits it, and one that does not fit is refused', () => {
    const field = fc.oneof(
      fc.double(),
      fc.string({ maxLength: 3 }),
      fc.boolean(),
      fc.constant(null),
      fc.integer({ min: -2, max: 9 }),
    )
    const labels = [
      'bn',
      'bt',
      'bu',
      'bv',
      'bs',
      'bver',
      'n',
      'u',
      'v',
      'vs',
      'vb',
      'vd',
      's',
      't',
      'ut',
      'x',
    ]
    let fitted = 0
    fc.assert(
      fc.property(fc.dictionary(fc.constantFrom(...labels), field, { maxKeys: 4 }), record => {
        // A later version ends the whole pack; the test above covers it.
        fc.pre(!(Number.isInteger(record.bver) && (record.bver as number) > 10))
        const fits = senmlRecord.safeParse(record).success
        const { rejected } = resolveRecords([{ bn: 'a' }, record])
        if (fits) fitted++
        if (rejected.length === 0) expect(fits).toBe(true)
        if (!fits) expect(rejected).toHaveLength(1)
        if (fits && rejected.length > 0)
          expect(rejected[0]!.detail).toMatch(/more than one of|no value|its name|out of range/)
      }),
      { numRuns: 3000 },
    )
    expect(fitted).toBeGreaterThan(100)
  })
})

describe('CBOR', () => {
  it('writes the labels of section 6, table 4', () => {
    expect(Buffer.from(writeSenmlCbor([{ bver: 5, n: 'a', vb: true }])).toString('hex')).toMatch(
      /^81a3(?=.*2005)(?=.*006161)(?=.*04f5)/,
    )
  })
})
