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

/** Whether a page may shake this device at all; a browser may still refuse before the first tap. */
export const canShake = (): boolean => 'vibrate' in navigator

/** Sounds the most pressing alarm until it is acknowledged. */
export class Sound {
  readonly #followers = new Set<() => void>()
  #context: AudioContext | null = null
  #priority: Alarm['priority'] | null = null
  #timer: ReturnType<typeof setTimeout> | undefined

  get state(): SoundState {
    if (!soundWanted()) return SoundState.off
    return this.#context?.state === 'running' ? SoundState.on : SoundState.waiting
  }

  /** Tells of every change of state until what is returned is called. */
  follow(follower: () => void): () => void {
    this.#followers.add(follower)
    return () => this.#followers.delete(follower)
  }

  /** Plays one pattern once, whether sound is on or off. To be called from a tap. */
  async sample(priority: Alarm['priority']): Promise<void> {
    await this.#open()
    this.#once(priority)
    this.#tell()
  }

  /** To be called from a tap. */
  async turn(on: boolean): Promise<void> {
    setSoundWanted(on)
    if (on) await this.wake()
    else this.#silence()
    this.#tell()
    if (on) {
      this.#play([{ hz: 659, atS: 0, lengthS: 0.12 }])
      this.#restart()
    }
  }

  /** Any tap may wake what was wanted in an earlier visit. */
  async wake(): Promise<void> {
    if (!soundWanted()) return
    await this.#open()
    this.#tell()
    this.#restart()
  }

  async #open(): Promise<void> {
    this.#context ??= new AudioContext()
    if (this.#context.state !== 'running') await this.#context.resume().catch(() => undefined)
  }

  #tell(): void {
    for (const follower of [...this.#followers]) follower()
  }

  /** What should be heard from now on; `null` is silence. */
  sound(priority: Alarm['priority'] | null): void {
    if (priority === this.#priority) return
    this.#priority = priority
    this.#restart()
  }

  #restart(): void {
    clearTimeout(this.#timer)
    if (this.state !== SoundState.on) return
    if (this.#priority === null) return stopShaking()
    this.#once(this.#priority)
    this.#timer = setTimeout(() => this.#restart(), PATTERNS[this.#priority].everyS * 1000)
  }

  #once(priority: Alarm['priority']): void {
    const { tones, shake } = PATTERNS[priority]
    this.#play(tones)
    if (canShake()) navigator.vibrate([...shake])
  }

  #silence(): void {
    clearTimeout(this.#timer)
    stopShaking()
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

function stopShaking(): void {
  if (canShake()) navigator.vibrate(0)
}

export const sound = new Sound()
