import { describe, expect, it } from 'vitest'
import { parseDemoFlags } from '../../sim/demo/flags.ts'
import { parseSimFlags, SimFlagError, USAGE } from '../../sim/flags.ts'
import { SCENARIOS } from '../../sim/scenarios/index.ts'

const base = ['--device', 'bench-1', '--password', 'pw']

describe('the simulator’s flags', () => {
  it('have defaults that fit a service started without flags', () => {
    expect(parseSimFlags(base)).toMatchObject({
      host: '127.0.0.1',
      port: 1883,
      device: 'bench-1',
      seed: 1,
      speed: 1,
      historyH: 0,
      intervalS: 10,
      format: 'json',
      truthFile: null,
      scenario: { name: 'healthy', litres: 1 },
    })
  })

  it('are all understood', () => {
    const text =
      '--mqtt [::1]:99 --scenario cold-room --seed 7 --speed 60 --litres 2.5 --history 12 --interval 5 --format cbor --truth t.jsonl'
    expect(parseSimFlags([...base, ...text.split(' ')])).toMatchObject({
      host: '::1',
      port: 99,
      seed: 7,
      speed: 60,
      historyH: 12,
      intervalS: 5,
      format: 'cbor',
      truthFile: 't.jsonl',
      scenario: { name: 'cold-room', litres: 2.5 },
    })
  })

  for (const [flag, value] of [
    ['mqtt', 'nowhere'],
    ['mqtt', '127.0.0.1:99999'],
    ['scenario', 'toString'],
    ['seed', 'x'],
    ['speed', '0'],
    ['speed', 'NaN'],
    ['litres', '-1'],
    ['history', 'Infinity'],
    ['interval', ''],
    ['format', 'xml'],
    ['nonsense', '1'],
  ] as const) {
    it(`refuse --${flag} ${value}, and name what is wrong`, () => {
      expect(() => parseSimFlags([...base, `--${flag}=${value}`])).toThrow(SimFlagError)
      expect(() => parseSimFlags([...base, `--${flag}=${value}`])).toThrow(
        new RegExp(`Cannot .*${flag}|'--${flag}`),
      )
    })
  }

  it('ask for a device and its password', () => {
    for (const argv of [[], ['--device', 'a'], ['--password', 'b']]) {
      expect(() => parseSimFlags(argv)).toThrow(/give --device and --password/)
    }
  })

  it('name every scenario in their usage', () => {
    for (const name of Object.keys(SCENARIOS)) expect(USAGE).toContain(name)
  })
})

describe('the demo’s flags', () => {
  it('have defaults', () => {
    expect(parseDemoFlags([])).toEqual({
      http: '127.0.0.1:8080',
      mqtt: '127.0.0.1:1883',
      speed: 1,
      keep: false,
      data: null,
      season: true,
    })
    expect(parseDemoFlags(['--no-season']).season).toBe(false)
  })

  it('keep the data where a folder is named for it', () => {
    expect(parseDemoFlags(['--data', 'x'])).toMatchObject({ data: 'x', keep: true })
    expect(() => parseDemoFlags(['--data='])).toThrow('name a folder')
  })

  it('refuse to listen beyond this machine', () => {
    for (const host of ['0.0.0.0', '192.168.1.4', '[::]', 'example.org']) {
      expect(() => parseDemoFlags(['--http', `${host}:8080`])).toThrow(/this machine only/)
      expect(() => parseDemoFlags(['--mqtt', `${host}:1883`])).toThrow(/this machine only/)
    }
    expect(parseDemoFlags(['--http', '[::1]:1', '--mqtt', 'localhost:2']).http).toBe('[::1]:1')
  })

  it('refuse a speed that is none', () => {
    for (const speed of ['0', 'NaN', '-3', '3601', 'fast']) {
      expect(() => parseDemoFlags([`--speed=${speed}`])).toThrow(/^Cannot read --speed/)
    }
  })
})
