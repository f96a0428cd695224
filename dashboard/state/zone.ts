import type { Zone } from '../words/time.ts'

/** The person's own clock, as the browser knows it. */
export const zone: Zone = {
  locale: navigator.language,
  timeZone: Intl.DateTimeFormat().resolvedOptions().timeZone,
}
