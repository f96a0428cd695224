import { parseArgs } from 'node:util'
import { scenarioNamed } from './scenarios/index.ts'
import type { Scenario } from './scenario.ts'

export const USAGE = `Simulates one vessel with its device, which speaks MQTT as a real one does. Add the device
first: npm run -s brinewatch -- device add NAME prints its password (with --data DIR where the service has it).

  --mqtt HOST:PORT     where the broker listens (127.0.0.1:1883)
  --device NAME        the device's name, as it was added
  --password PW        its password
  --scenario NAME      healthy, lamp-runaway, lamp-relay, lamp-dead, pump-stopped, pump-fading, probe-unplugged, network-out, cold-room,
                       leak
  --seed N             the same number plays the same chance again (1)
  --speed N            how many times faster than real time (1); start the broker with the same --clock-speed
  --litres L           water in the vessel (1)
  --history HOURS      the cysts were poured in so long ago: that past is sent first, as a backlog (0)
  --interval S         seconds between samplings (10)
  --format json|cbor   how packs are written (json)
  --truth FILE         what is really so in the vessel, one line of JSON for each sampling`

export interface SimFlags {
  readonly host: string
  readonly port: number
  readonly device: string
  readonly password: string
  readonly scenario: Scenario
  readonly seed: number
  readonly speed: number
  readonly historyH: number
  readonly intervalS: number
  readonly format: 'json' | 'cbor'
  readonly truthFile: string | null
}

/** The command line does not say what is needed; the message says what to write. */
export class SimFlagError extends Error {
  override readonly name = 'SimFlagError'
}

/** @throws SimFlagError */
export function parseSimFlags(argv: readonly string[]): SimFlags {
  const values = read(argv)
  const number = (name: string, text: string, least: number, most: number) => {
    const value = Number(text)
    if (text.trim() !== '' && value >= least && value <= most) return value
    throw new SimFlagError(`Cannot read --${name}: give a number from ${least} to ${most}, got ${text}`)
  }
  if (!values.device || !values.password) {
    throw new SimFlagError(
      'Cannot simulate a device: give --device and --password, as adding it printed them',
    )
  }
  if (values.format !== 'json' && values.format !== 'cbor') {
    throw new SimFlagError(`Cannot read --format: it is json or cbor, got ${values.format}`)
  }
  let scenario
  try {
    scenario = scenarioNamed(values.scenario)
  } catch (error) {
    throw new SimFlagError((error as Error).message)
  }
  if (values.litres !== undefined)
    scenario = { ...scenario, litres: number('litres', values.litres, 0.1, 100) }
  return {
    ...parseAddress('mqtt', values.mqtt),
    device: values.device,
    password: values.password,
    scenario,
    seed: number('seed', values.seed, 0, Number.MAX_SAFE_INTEGER),
    speed: number('speed', values.speed, 0.01, 100_000),
    historyH: number('history', values.history, 0, 240),
    intervalS: number('interval', values.interval, 0.1, 600),
    format: values.format,
    truthFile: values.truth ?? null,
  }
}

/** `127.0.0.1:1883`, `[::1]:1883`. @throws SimFlagError */
export function parseAddress(name: string, text: string): { host: string; port: number } {
  const [, bracketed, plain, digits] = /^(?:\[([^\]]+)\]|([^:]+)):(\d{1,5})$/.exec(text) ?? []
  const host = bracketed ?? plain
  const port = Number(digits)
  if (host !== undefined && port <= 65_535) return { host, port }
  throw new SimFlagError(`Cannot read --${name}: write HOST:PORT, like 127.0.0.1:1883, got ${text}`)
}

function read(argv: readonly string[]) {
  try {
    return parseArgs({
      args: [...argv],
      options: {
        mqtt: { type: 'string', default: '127.0.0.1:1883' },
        device: { type: 'string' },
        password: { type: 'string' },
        scenario: { type: 'string', default: 'healthy' },
        seed: { type: 'string', default: '1' },
        speed: { type: 'string', default: '1' },
        litres: { type: 'string' },
        history: { type: 'string', default: '0' },
        interval: { type: 'string', default: '10' },
        format: { type: 'string', default: 'json' },
        truth: { type: 'string' },
      },
    }).values
  } catch (error) {
    throw new SimFlagError((error as Error).message)
  }
}
