/** What is around the board. Numbers hold until they are set anew. */
export interface Surroundings {
  /** °C; `null`: unplugged. */
  waterC: number | null
  roomC: number | null
  /** `'seconds'`: counts with the clock, so that each sampling can be told from all others. */
  lux: number | 'seconds' | null
  airLpm: number
  /** What the level switch reads. */
  level: number
  isButtonPressed: boolean
  /** How the water's scratchpads are spoiled on their way. */
  waterPad: 'whole' | 'flipped' | 'zeros'
  /** `'up'`; `'away'`: the radio finds no network; `'deaf'`: connected, and nothing comes through, in either direction; `'mute'`: what the device
   * says arrives, and no answer comes back; `'held'`: what it says stays on its way until the network is up again. */
  network: 'up' | 'away' | 'deaf' | 'mute' | 'held'
}

export interface BoardData {
  readonly clock: SharedArrayBuffer
  readonly firmware: string
  readonly fakes: string
  readonly files: Readonly<Record<string, string>>
  /** Flow meter's pulses per litre and pin. */
  readonly pulses: { readonly pin: number; readonly perLitre: number }
  readonly waterRom: string
  readonly roomRom: string
  readonly resetCause: number
  /** Where the board's tick counter stands at power-up. */
  readonly ticksFrom: number
  /** So long the first message with the time is waited for, once a power-up, on the wall's clock; 0: nobody will tell it. */
  readonly greetingMs: number
  /** So long any answer is waited for, likewise. */
  readonly answerMs: number
}

export type Ask =
  | { readonly id: number; readonly do: 'surround'; readonly change: Partial<Surroundings> }
  /** Runs passes `stepMs` apart until the clock stands at `untilMs`, or the board restarts. */
  | { readonly id: number; readonly do: 'run'; readonly untilMs: number; readonly stepMs: number }
  | { readonly id: number; readonly do: 'python'; readonly code: string }
  | { readonly id: number; readonly do: 'files' }
  | { readonly id: number; readonly do: 'figures' }
  /** Ends the TCP connection under the device. */
  | { readonly id: number; readonly do: 'cut' }

export interface Sampled {
  /** On the shared clock, ms. */
  readonly atMs: number
  /** As the outbox got them: whole numbers or names of faults, by channel. */
  readonly values: readonly string[]
}

export interface PinChange {
  readonly atMs: number
  readonly pin: number
  readonly value: number
}

export interface Ran {
  readonly sampled: readonly Sampled[]
  readonly pins: readonly PinChange[]
  readonly said: readonly string[]
  readonly isRestarting: boolean
  readonly isUp: boolean
}

export interface Figures {
  /** Bytes over those in use before the firmware was loaded: its programs, */
  readonly programBytes: number
  /** with all that it holds now, */
  readonly heapLive: number
  /** and the most at the end of any pass of its loop, garbage included. */
  readonly heapPeak: number
  /** Passes of the loop, and how long they took on this machine, ms: [median, 99.9 % of them, longest]. */
  readonly passes: number
  readonly passMs: readonly [number, number, number]
}
