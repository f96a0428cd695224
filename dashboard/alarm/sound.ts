import type { Alarm } from '../../broker/web/api/schemas.ts'
import { setSoundWanted, soundWanted } from '../state/preferences.ts'
import { PATTERNS } from './tones.ts'

/** What the person is told of the sound. */
export const SoundState = {
  off: 'off',
  /** Wanted, but the browser lets no page sound before the first tap. */
  waiting: 'waiting',
  on: 'on',
} as const
export type SoundState = (typeof SoundState)[keyof typeof SoundState]

/** Sounds the most pressing alarm until it is acknowledged. */
export class Sound {
  onState: () => void = () => undefined
  #context: AudioContext | null = null
  #priority: Alarm['priority'] | null = null
  #timer: ReturnType<typeof setTimeout> | undefined

  get state(): SoundState {
    if (!soundWanted()) return SoundState.off
    return this.#context?.state === 'running' ? SoundState.on : SoundState.waiting
  }

  /** To be called from a tap. */
  async turn(on: boolean): Promise<void> {
    setSoundWanted(on)
    if (on) await this.wake()
    else this.#silence()
    this.onState()
    if (on) {
      this.#play([{ hz: 659, atS: 0, lengthS: 0.12 }])
      this.#restart()
    }
  }

  /** Any tap may wake what was wanted in an earlier visit. */
  async wake(): Promise<void> {
    if (!soundWanted()) return
    this.#context ??= new AudioContext()
    if (this.#context.state !== 'running') await this.#context.resume().catch(() => undefined)
    this.onState()
    this.#restart()
  }

  /** What should be heard from now on; `null` is silence. */
  sound(priority: Alarm['priority'] | null): void {
    if (priority === this.#priority) return
    this.#priority = priority
    this.#restart()
  }

  #restart(): void {
    clearTimeout(this.#timer)
    if (this.#priority === null || this.state !== SoundState.on) return
    const pattern = PATTERNS[this.#priority]
    this.#play(pattern.tones)
    if ('vibrate' in navigator) navigator.vibrate([...pattern.shake])
    this.#timer = setTimeout(() => this.#restart(), pattern.everyS * 1000)
  }

  #silence(): void {
    clearTimeout(this.#timer)
    void this.#context?.suspend()
  }

  #play(tones: readonly { hz: number; atS: number; lengthS: number }[]): void {
    const context = this.#context
    if (context?.state !== 'running') return
    for (const { hz, atS, lengthS } of tones) {
      const oscillator = context.createOscillator()
      const gain = context.createGain()
      const fromS = context.currentTime + 0.02 + atS
      oscillator.type = 'triangle'
      oscillator.frequency.value = hz
      // Soft edges: a hard one clicks.
      gain.gain.setValueAtTime(0, fromS)
      gain.gain.linearRampToValueAtTime(0.5, fromS + 0.012)
      gain.gain.setValueAtTime(0.5, fromS + lengthS - 0.03)
      gain.gain.linearRampToValueAtTime(0, fromS + lengthS)
      oscillator.connect(gain).connect(context.destination)
      oscillator.start(fromS)
      oscillator.stop(fromS + lengthS + 0.01)
    }
  }
}

export const sound = new Sound()
