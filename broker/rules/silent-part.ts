/** What may fall silent at a vessel by itself: one of its sensors, or its devices as a whole. */
export const SilentPart = {
  whole: 'whole',
  water: 'water',
  air: 'air',
  light: 'light',
  level: 'level',
} as const
export type SilentPart = (typeof SilentPart)[keyof typeof SilentPart]
