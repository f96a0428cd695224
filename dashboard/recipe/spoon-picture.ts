import { html, svg, type TemplateResult } from 'lit'
import type { Measure } from '../../broker/hatch/recipe/spoons.ts'

/** What a spoon is filled with. */
export type Filling = 'salt' | 'soda' | 'cysts'

/** More whole spoons than this are drawn as one and a number. */
const DRAWN = 2
/** The spoons of a set, by quarters, the largest first, and what is stamped on each. */
const SET = [
  { quarters: 4, stamp: '1' },
  { quarters: 2, stamp: '½' },
  { quarters: 1, stamp: '¼' },
  { quarters: 0.5, stamp: '⅛' },
] as const
/** A tablespoon's bowl is 34 drawing units from its middle to its rim; all others follow from what they hold. */
const RIM = 34
/** A handle has room for what is stamped on it. */
const HANDLE = 66
const HEIGHT = 54
const SHORT: Record<Measure['size'], string> = { tablespoon: 'tbsp', teaspoon: 'tsp' }

/** The measuring spoons that make an amount: 1¾ is a whole, a half and a quarter. */
export function spoonSet(quarters: number): { readonly quarters: number; readonly stamp: string }[] {
  const drawn: { readonly quarters: number; readonly stamp: string }[] = []
  let left = quarters
  for (const spoon of SET) for (; left >= spoon.quarters; left -= spoon.quarters) drawn.push(spoon)
  return drawn
}

/** Level spoons as pictures. They say nothing that does not stand beside them in words. */
export function spoonPictures(measure: Measure, filling: Filling): TemplateResult {
  const set = spoonSet(measure.quarters)
  const whole = set.filter(spoon => spoon.quarters === 4).length
  const counted = whole > DRAWN
  const drawn = counted ? [SET[0], ...set.filter(spoon => spoon.quarters < 4)] : set
  return html`<span class="spoons ${filling}" aria-hidden="true">
    ${drawn.map(
      (spoon, at) =>
        html`${one(measure.size, spoon.quarters, spoon.stamp)}${counted && at === 0 ? html`<b class="times">× ${whole}</b>` : ''}`,
    )}
  </span>`
}

/** One level spoon, seen from a little above: the rim with what is in it, the bowl below, the handle with its stamp. */
function one(size: Measure['size'], quarters: number, stamp: string): TemplateResult {
  // Three teaspoons are a tablespoon, and lengths go with the cube root of what is held.
  const rim = RIM * Math.cbrt((quarters / 4) * (size === 'tablespoon' ? 1 : 1 / 3))
  const width = Math.round(rim * 2 + HANDLE + 4)
  const x = rim + 2
  const flat = rim * 0.34
  const deep = rim * 1.05
  // All stand on one ground, whatever their size.
  const y = HEIGHT - 2 - deep
  const right = (x + rim).toFixed(1)
  return html`<svg viewBox="0 0 ${width} ${HEIGHT}" width=${width} height=${HEIGHT}>
    ${svg`
      <path class="handle" d="M${right} ${y - 4} L${width - 12} ${y - 9} a8 8 0 0 1 0 16 L${right} ${y + 5} Z" />
      <path class="bowl" d="M${x - rim} ${y} C${x - rim} ${y + deep * 0.8} ${x - rim * 0.55} ${y + deep} ${x} ${y + deep}
        S${right} ${y + deep * 0.8} ${right} ${y} Z" />
      <ellipse class="filling" cx=${x} cy=${y} rx=${rim} ry=${flat} />
      <path class="grains" d=${grains(x, y, rim, flat)} />
      <ellipse class="rim" cx=${x} cy=${y} rx=${rim} ry=${flat} />
      <text class="stamp" x=${width - 10} y=${y + 3.5}>${stamp} ${SHORT[size]}</text>`}
  </svg>`
}

/** A jug with fresh water in it. */
export const jugPicture = (): TemplateResult =>
  html`<span class="spoons water" aria-hidden="true"
    ><svg viewBox="0 0 76 ${HEIGHT}" width="76" height=${HEIGHT}>
      ${svg`
        <path class="filling" d="M13 22 H55 L53 50 Q53 52 51 52 H17 Q15 52 15 50 Z" />
        <path class="glass" d="M6 5 L12 10 L15 50 Q15 52 17 52 H51 Q53 52 53 50 L56 6 H14 Q10 6 6 5 Z M55.500 14 q14 -1 13 12 q-1 12 -14.500 13" />
        <path class="scale" d="M46 22 h7 M48 30 h5 M47 38 h5.500 M49 46 h3.500" />`}
    </svg></span
  >`

/** A few grains in the level surface, always at the same places. */
function grains(x: number, y: number, rim: number, flat: number): string {
  return Array.from({ length: 14 }, (_, i) => {
    const turn = i * 2.399963
    const out = Math.sqrt((i + 0.5) / 14) * 0.86
    return `M${(x + Math.cos(turn) * rim * out).toFixed(1)} ${(y + Math.sin(turn) * flat * out).toFixed(1)}h.01`
  }).join('')
}
