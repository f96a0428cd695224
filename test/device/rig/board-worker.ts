/** One power-up of the board: an interpreter of its own in a thread of its own, which ends as abruptly as power does. */
import { connect, type Socket } from 'node:net'
import { parentPort, workerData } from 'node:worker_threads'
import { readdirSync, readFileSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { loadMicroPython } from '@micropython/micropython-webassembly-pyscript/micropython.mjs'
import type { Ask, BoardData, Figures, PinChange, Ran, Sampled, Surroundings } from './protocol.ts'
import { Wire } from './sensors.ts'

const data = workerData as BoardData
const clock = new Float64Array(data.clock)
const poweredAtMs = clock[0]!
const around: Surroundings = {
  waterC: 27,
  roomC: 21,
  lux: 2000,
  airLpm: 1.8,
  level: 0,
  isButtonPressed: false,
  waterPad: 'whole',
  network: 'up',
}

let sampled: Sampled[] = []
let pins: PinChange[] = []
let said: string[] = []
let isRestarting = false
const pinValues = new Map<number, number>()
const passMs: number[] = []
let isLightReady = false

interface Line {
  readonly socket: Socket
  readonly arrived: Buffer[]
  /** On its way, and standing still. */
  held: Buffer[]
  state: 'connecting' | 'open' | 'ended' | 'failed'
  /** Something was lost on it, so nothing comes through any more: a stream of bytes has no gaps. */
  isDead: boolean
  /** An answer did not come in time: it is not waited for until something comes. */
  isSlow: boolean
  /** Something went that the device will not hear the answer to; its arrival is waited for all the same. */
  isUnheard: boolean
}
const lines = new Map<number, Line>()
let newest = 0
let wake: () => void = () => {}

const wire = new Wire([
  {
    rom: data.waterRom,
    celsius: () => around.waterC,
    spoil: pad => {
      if (around.waterPad === 'zeros') return pad.map(() => 0)
      return around.waterPad === 'flipped' ? pad.map((byte, i) => (i === 1 ? byte ^ 0x04 : byte)) : pad
    },
  },
  { rom: data.roomRom, celsius: () => around.roomC },
])

function lux(): number | null {
  if (around.lux === 'seconds') return Math.floor(clock[0]! / 1000) % 50_000
  return around.lux
}

function dial(host: string, port: number): number {
  const id = ++newest
  const line: Line = {
    socket: connect(port, host),
    arrived: [],
    held: [],
    state: 'connecting',
    isDead: false,
    isSlow: false,
    isUnheard: false,
  }
  line.socket.setNoDelay(true)
  line.socket.on('connect', () => {
    line.state = 'open'
    wake()
  })
  line.socket.on('data', chunk => {
    line.isDead ||= around.network !== 'up' && around.network !== 'held'
    line.isSlow = false
    line.isUnheard = false
    if (!line.isDead) line.arrived.push(chunk)
    wake()
  })
  line.socket.on('error', () => {})
  line.socket.on('close', () => {
    line.state = line.state === 'connecting' ? 'failed' : 'ended'
    wake()
  })
  lines.set(id, line)
  return id
}

/** What the .py stand-ins for the board's own modules ask. */
const world = {
  ticks: () => (Math.floor(clock[0]! - poweredAtMs) + data.ticksFrom) & 0x3fff_ffff,
  reset_cause: () => data.resetCause,
  reset: () => void (isRestarting = true),
  pin_read: (pin: number) => (pin === 0 ? (around.isButtonPressed ? 0 : 1) : around.level),
  pin_write(pin: number, value: number) {
    if (pinValues.get(pin) === value) return
    pinValues.set(pin, value)
    pins.push({ atMs: clock[0]!, pin, value })
  },
  microvolts: () => 500_000,
  wire_reset: () => wire.reset(),
  wire_write: (_: number, byte: number) => wire.write(byte),
  wire_read: () => wire.read(),
  wire_search: () => wire.search(),
  i2c_write(_: number, hex: string) {
    isLightReady = lux() !== null && hex === '10'
    return lux() !== null
  },
  i2c_read() {
    const now = lux()
    // BH1750: a count is 1/1.2 lux. Rounded up, so that the whole number of lux comes back.
    return now === null || !isLightReady
      ? ''
      : Math.ceil(now * 1.2)
          .toString(16)
          .padStart(4, '0')
  },
  radio: () => around.network !== 'away',
  dial,
  poll(id: number) {
    const line = lines.get(id)
    if (!line || line.state === 'failed') return 8
    return line.state === 'open' ? 4 : 0
  },
  send(id: number, base64: string) {
    const line = lines.get(id)
    if (!line || line.state === 'ended') return -2
    const bytes = Buffer.from(base64, 'base64')
    line.isDead ||= around.network === 'deaf'
    if (around.network === 'held') line.held.push(bytes)
    else if (!line.isDead || around.network === 'mute') line.socket.write(bytes)
    line.isUnheard = around.network === 'mute'
    return bytes.length
  },
  receive(id: number, most: number) {
    const line = lines.get(id)
    if (!line) return 'reset'
    const first = line.arrived[0]
    if (!first) return line.state === 'ended' ? '' : 'wait'
    line.arrived.shift()
    if (first.length > most) line.arrived.unshift(first.subarray(most))
    return first.subarray(0, most).toString('base64')
  },
  close(id: number) {
    lines.get(id)?.socket.destroy()
    lines.delete(id)
  },
  sampled: (_: number, values: string) => void sampled.push({ atMs: clock[0]!, values: values.split(';') }),
}

const python = await loadMicroPython({
  heapsize: 1024 * 1024,
  linebuffer: true,
  stdout: (line: string) => void said.push(line),
  stderr: (line: string) => void said.push(line),
})
python.registerJsModule('world', world)
copyIn(data.firmware, '/flash')
copyIn(data.fakes, '/fakes')
for (const [name, base64] of Object.entries(data.files))
  write(`/flash/${name}`, Buffer.from(base64, 'base64'))
python.runPython(`
import sys, os
os.chdir("/flash")
sys.path[:] = ["/fakes", "/flash"]
import rig
`)
const rig = python.globals.get('rig')
const used = (): number => {
  rig.collect()
  return rig.used() as number
}
const baseline = used()
rig.load()
const programBytes = used() - baseline
rig.start()
used()
const step = rig.step as () => number
const pulse = rig.pulse as (pin: number, times: number) => void
let litresOwed = 0
/** What `step` answers: an answer of the broker is waited for; connected; there is something to send; the time is not known. */
const WAITS = 1
const UP = 2
const MORE = 4
const TIMELESS = 8
let isGreeted = data.greetingMs === 0

async function run(untilMs: number, stepMs: number): Promise<Ran> {
  let flags = 0
  for (;;) {
    const from = onProcessorMs()
    flags = step()
    passMs.push(onProcessorMs() - from)
    if (isRestarting) break
    // To send takes no time; what the network does not take is lost at once.
    if (flags & MORE) continue
    if (around.network === 'mute') await areHeard()
    if (around.network === 'up') {
      // The clock stands still while an answer is on its way; what has come in is read before it moves on.
      if (flags & WAITS && (hasArrived() || (await isAnswered()))) continue
      if (flags & TIMELESS && !isGreeted) {
        isGreeted = !(await somethingCame(data.greetingMs))
        continue
      }
    }
    if (clock[0]! >= untilMs) break
    clock[0] = Math.min(untilMs, clock[0]! + stepMs)
    litresOwed += (around.airLpm / 60_000) * stepMs * data.pulses.perLitre
    const whole = Math.floor(litresOwed)
    litresOwed -= whole
    if (whole > 0) pulse(data.pulses.pin, whole)
    // What came by itself is noticed too.
    await new Promise(resolve => setImmediate(resolve))
  }
  const ran: Ran = { sampled, pins, said, isRestarting, isUp: (flags & UP) !== 0 }
  sampled = []
  pins = []
  said = []
  return ran
}

/** Of this thread alone: others take the same processors. Elsewhere than on Linux it is what the wall's clock says. */
function onProcessorMs(): number {
  try {
    return Number(readFileSync('/proc/thread-self/schedstat', 'latin1').split(' ', 1)[0]) / 1e6
  } catch {
    return performance.now()
  }
}

/** What the device said has arrived once the broker answers it, or it is taken for arrived. */
async function areHeard(): Promise<void> {
  if (![...lines.values()].some(line => line.isUnheard)) return
  await somethingCame(data.answerMs)
  for (const line of lines.values()) line.isUnheard = false
}

async function isAnswered(): Promise<boolean> {
  const asked = [...lines.values()].filter(line => !line.isDead && !line.isSlow)
  if (asked.length === 0) return false
  const came = await somethingCame(data.answerMs)
  if (!came) for (const line of asked) line.isSlow = true
  return came
}

const hasArrived = (): boolean => [...lines.values()].some(line => line.arrived.length > 0)

function somethingCame(withinMs: number): Promise<boolean> {
  return new Promise(resolve => {
    const done = (came: boolean) => {
      clearTimeout(late)
      wake = () => {}
      resolve(came)
    }
    const late = setTimeout(() => done(false), withinMs)
    wake = () => done(true)
  })
}

function copyIn(from: string, to: string): void {
  python.FS.mkdir(to)
  for (const name of readdirSync(from)) {
    const path = join(from, name)
    if (statSync(path).isDirectory()) copyIn(path, `${to}/${name}`)
    else if (name.endsWith('.py')) python.FS.writeFile(`${to}/${name}`, readFileSync(path))
  }
}

function write(path: string, bytes: Uint8Array): void {
  const parts = path.split('/').slice(1, -1)
  for (let i = 1; i <= parts.length; i++) {
    const dir = `/${parts.slice(0, i).join('/')}`
    if (!python.FS.analyzePath(dir).exists) python.FS.mkdir(dir)
  }
  python.FS.writeFile(path, bytes)
}

/** What is on the flash and is not a program. */
function files(): Record<string, string> {
  const found: Record<string, string> = {}
  const take = (dir: string, prefix: string): void => {
    for (const name of python.FS.readdir(dir)) {
      if (name === '.' || name === '..' || name.endsWith('.py')) continue
      const path = `${dir}/${name}`
      if (python.FS.isDir(python.FS.stat(path).mode)) take(path, `${prefix}${name}/`)
      else found[`${prefix}${name}`] = Buffer.from(python.FS.readFile(path)).toString('base64')
    }
  }
  take('/flash', '')
  return found
}

function figures(): Figures {
  const sorted = [...passMs].sort((one, other) => one - other)
  const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!
  return {
    programBytes,
    heapLive: used() - baseline,
    heapPeak: (rig.peak as number) - baseline,
    passes: sorted.length,
    passMs: [at(0.5), at(0.999), sorted.at(-1)!],
  }
}

function letGo(line: Line): void {
  for (const bytes of line.held) if (!line.isDead) line.socket.write(bytes)
  line.held = []
}

async function answer(ask: Ask): Promise<unknown> {
  switch (ask.do) {
    case 'surround':
      Object.assign(around, ask.change)
      if (around.network !== 'held') for (const line of lines.values()) letGo(line)
      return undefined
    case 'run':
      return run(ask.untilMs, ask.stepMs)
    case 'python': {
      python.runPython(`import rig\nanswer = str(${ask.code})`)
      return python.globals.get('answer') as string
    }
    case 'files':
      return files()
    case 'figures':
      return figures()
    case 'cut':
      for (const line of lines.values()) line.socket.destroy()
      return undefined
  }
}

parentPort!.on('message', (ask: Ask) => {
  answer(ask).then(
    result => parentPort!.postMessage({ id: ask.id, result }),
    (error: unknown) => parentPort!.postMessage({ id: ask.id, error: String(error) }),
  )
})
parentPort!.postMessage({ id: 0 })
