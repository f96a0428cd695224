import type { Alarm } from '../../broker/web/api/schemas.ts'

/** One tone: pitch in Hz, start and length in seconds from the pattern's beginning. */
export interface Tone {
  readonly hz: number
  readonly atS: number
  readonly lengthS: number
}

export interface Pattern {
  readonly tones: readonly Tone[]
  /** Seconds from one beginning to the next. */
  readonly everyS: number
  /** For a device that shakes: on and off, ms. */
  readonly shake: readonly number[]
}

const notes = (gapS: number, lengthS: number, ...pitches: number[]): Tone[] =>
  pitches.map((hz, index) => ({ hz, atS: index * gapS, lengthS }))

/** Each priority is known by its rhythm and its way up or down, not by loudness. */
export const PATTERNS: Record<Alarm['priority'], Pattern> = {
  critical: {
    tones: [...notes(0.14, 0.11, 880, 1175, 880, 1175, 1568), { hz: 1568, atS: 0.84, lengthS: 0.3 }],
    everyS: 2.5,
    shake: [200, 80, 200, 80, 500],
  },
  high: { tones: notes(0.26, 0.2, 988, 784, 659), everyS: 6, shake: [300, 120, 300] },
  low: { tones: notes(0.35, 0.28, 523, 659), everyS: 30, shake: [150] },
}
