import { svg, type TemplateResult } from 'lit'
import type { Alarm } from '../../broker/web/api/schemas.ts'
import type { WaterState } from '../words/condition.ts'

/** A shape for each state of the water, told apart without colour: which way it is off, or that it is right. */
const WATER_MARK: Record<WaterState, TemplateResult<2>> = {
  cold: svg`<path d="M12 22 L2 6 H22 Z" />`,
  cool: svg`<path d="M4 9 L12 18 L20 9" fill="none" stroke="currentColor" stroke-width="3.5" stroke-linecap="round" stroke-linejoin="round" />`,
  warm: svg`<path d="M4 15 L12 6 L20 15" fill="none" stroke="currentColor" stroke-width="3.5" stroke-linecap="round" stroke-linejoin="round" />`,
  hot: svg`<path d="M12 2 L22 18 H2 Z" />`,
  right: svg`<circle cx="12" cy="12" r="9" /><path d="M7.5 12.5 l3 3 l6 -7" fill="none" stroke="var(--ground)"
    stroke-width="2.6" stroke-linecap="round" stroke-linejoin="round" />`,
  idle: svg`<circle cx="12" cy="12" r="8" fill="none" stroke="currentColor" stroke-width="2.5" />`,
  'returning-hot': svg`<path d="M3 3 H21 M12 7 V21 M6 15 L12 21 L18 15" fill="none" stroke="currentColor" stroke-width="3" stroke-linecap="round" stroke-linejoin="round" />`,
  'returning-cold': svg`<path d="M3 21 H21 M12 17 V3 M6 9 L12 3 L18 9" fill="none" stroke="currentColor" stroke-width="3" stroke-linecap="round" stroke-linejoin="round" />`,
  within: svg`<path d="M4 4 H20 M4 20 H20 M8 12 H16" fill="none" stroke="currentColor" stroke-width="3" stroke-linecap="round" />`,
  fault: svg`<path d="M5 5 L19 19 M19 5 L5 19" stroke="currentColor" stroke-width="4" stroke-linecap="round" />`,
  silent: svg`<path d="M3 12 H21" stroke="currentColor" stroke-width="4" stroke-linecap="round" stroke-dasharray="1 8" />`,
  none: svg`<path d="M5 12 H19" stroke="currentColor" stroke-width="3.5" stroke-linecap="round" />`,
}
export const waterMark = (state: WaterState) =>
  svg`<svg viewBox="0 0 24 24" width="24" height="24" fill="currentColor" aria-hidden="true">${WATER_MARK[state]}</svg>`

/** A sign for each priority: eight corners stop, three warn, a round one tells. */
const PRIORITY_SIGN: Record<Alarm['priority'], TemplateResult<2>> = {
  critical: svg`<path d="M12 1 H28 L39 12 V28 L28 39 H12 L1 28 V12 Z" />`,
  high: svg`<path d="M20 2 L39 37 H1 Z" />`,
  low: svg`<circle cx="20" cy="20" r="18" />`,
}
/** The sign with its exclamation mark cut in the ground's colour. */
export const prioritySign = (priority: Alarm['priority'], size = 40) =>
  svg`<svg viewBox="-2 -2 44 44" width=${size} height=${size} aria-hidden="true">
    <g fill="currentColor" stroke="var(--ground)" stroke-width="2.5" paint-order="stroke" stroke-linejoin="round">${PRIORITY_SIGN[priority]}</g>
    <path d="M20 12 V24" stroke="var(--sign-cut)" stroke-width="5" stroke-linecap="round" />
    <circle cx="20" cy="31" r="2.8" fill="var(--sign-cut)" />
  </svg>`
