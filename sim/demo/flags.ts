import { parseArgs } from 'node:util'
import { parseAddress, SimFlagError } from '../flags.ts'

export const DEMO_USAGE = `Starts the service with a simulated fish room, in a data folder of its own.

  --http HOST:PORT     where the dashboard is served (127.0.0.1:8080); loopback only
  --mqtt HOST:PORT     where devices connect (127.0.0.1:1883); loopback only
  --speed N            everything runs N times faster, 1 to 3600 (1)
  --no-season          without the invented season of some forty batches before today
  --keep               keep the data folder at the end
  --data DIR           keep the data in DIR, which must be empty or not there yet`

export interface DemoFlags {
  readonly http: string
  readonly mqtt: string
  readonly speed: number
  readonly keep: boolean
  /** The folder to keep the data in; `null` for one of its own. */
  readonly data: string | null
  readonly season: boolean
}

/** @throws SimFlagError */
export function parseDemoFlags(argv: readonly string[]): DemoFlags {
  const { http, mqtt, speed, keep, data, 'no-season': noSeason } = read(argv)
  for (const [name, address] of [
    ['http', http],
    ['mqtt', mqtt],
  ] as const) {
    const { host } = parseAddress(name, address)
    if (host === 'localhost' || host === '::1' || /^127\.\d+\.\d+\.\d+$/.test(host)) continue
    throw new SimFlagError(`Cannot read --${name}: the demo listens on this machine only, got ${host}`)
  }
  const times = Number(speed)
  if (!(times >= 1 && times <= 3600)) {
    throw new SimFlagError(`Cannot read --speed: give a number from 1 to 3600, got ${speed}`)
  }
  if (data === '') throw new SimFlagError('Cannot read --data: name a folder')
  return { http, mqtt, speed: times, keep: keep || data !== undefined, data: data ?? null, season: !noSeason }
}

function read(argv: readonly string[]) {
  try {
    return parseArgs({
      args: [...argv],
      options: {
        http: { type: 'string', default: '127.0.0.1:8080' },
        mqtt: { type: 'string', default: '127.0.0.1:1883' },
        speed: { type: 'string', default: '1' },
        keep: { type: 'boolean', default: false },
        data: { type: 'string' },
        'no-season': { type: 'boolean', default: false },
      },
    }).values
  } catch (error) {
    throw new SimFlagError((error as Error).message)
  }
}
