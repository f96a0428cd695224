/** What hangs on the board's pins, as its datasheets describe it. */

/** x^8 + x^5 + x^4 + 1, as the DS18B20's datasheet has it, table-free. */
export function crc8(bytes: readonly number[]): number {
  let crc = 0
  for (const byte of bytes) {
    crc ^= byte
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >> 1) ^ 0x8c : crc >> 1
  }
  return crc
}

export interface ProbeWorld {
  /** Sixteen hexadecimal digits, family code first. */
  readonly rom: string
  /** °C at the probe now; `null` when it is unplugged. */
  readonly celsius: () => number | null
  /** What is done to a scratchpad on its way. */
  spoil?: (pad: number[]) => number[]
}

/** A DS18B20: measures at CONVERT T, and keeps what it measured. Powered up at 85 °C. */
class Probe {
  readonly world: ProbeWorld
  #pad: number[] = scratchpad(0x0550)
  constructor(world: ProbeWorld) {
    this.world = world
  }
  convert(): void {
    const celsius = this.world.celsius()
    if (celsius !== null) this.#pad = scratchpad(Math.round(celsius * 16))
  }
  read(): number[] {
    return this.world.spoil ? this.world.spoil([...this.#pad]) : this.#pad
  }
}

function scratchpad(raw: number): number[] {
  const pad = [raw & 0xff, (raw >> 8) & 0xff, 0x4b, 0x46, 0x7f, 0xff, 0x0c, 0x10]
  return [...pad, crc8(pad)]
}

/** A 1-Wire line: a pulled-up wire reads as ones. */
export class Wire {
  readonly #probes: Probe[]
  #bytes: number[] = []
  #reading: number[] = []
  constructor(probes: readonly ProbeWorld[]) {
    this.#probes = probes.map(world => new Probe(world))
  }
  get #present(): Probe[] {
    return this.#probes.filter(probe => probe.world.celsius() !== null)
  }
  reset(): boolean {
    this.#bytes = []
    this.#reading = []
    return this.#present.length > 0
  }
  write(byte: number): void {
    this.#bytes.push(byte)
    const [first, second] = this.#bytes
    if (first === 0xcc && second === 0x44) for (const probe of this.#present) probe.convert()
    if (first === 0x55 && this.#bytes.length === 10 && byte === 0xbe) {
      const rom = Buffer.from(this.#bytes.slice(1, 9)).toString('hex')
      this.#reading = this.#present.find(probe => probe.world.rom === rom)?.read() ?? []
    }
  }
  read(): number {
    return this.#reading.shift() ?? 0xff
  }
  search(): string {
    return this.#present.map(probe => probe.world.rom).join(' ')
  }
}
