import { html, nothing, svg, type TemplateResult } from 'lit'
import type { ControlChart } from '../../broker/web/api/books.ts'

/** The picture's own units; it is as wide as its place. */
const WIDE = 400
const HIGH = 200
const LEFT = 52
const RIGHT = 12
const TOP = 14
const BOTTOM = 26
const LABEL_APART = 15

type Value = ControlChart['values'][number]
/** What is only perhaps beyond the limits is drawn hollow, but not as out. */
const isUnsure = ({ signs }: Value) => signs.some(sign => sign.startsWith('perhaps'))
const isOut = ({ signs }: Value) => signs.some(sign => !sign.startsWith('perhaps'))
const SIGN_WORDS: Readonly<Record<Value['signs'][number], string>> = {
  below: 'below the lower limit',
  'perhaps-below': 'perhaps below the lower limit',
  above: 'above the upper limit',
  'perhaps-above': 'perhaps above the upper limit',
  'run-low': 'eight in a row below the mean',
  'run-high': 'eight in a row above the mean',
  'two-low': 'two of three below the inner line',
}

export interface ChartWords {
  readonly title: string
  readonly number: (value: number) => string
  readonly date: (at: string) => string
}

/** A control chart drawn: each harvest with the limits of its count, the mean and its limits as lines. Its table says the same. */
export function controlChartPicture({ values, limits }: ControlChart, words: ChartWords): TemplateResult {
  if (values.length === 0) return html`<p class="soft">No harvest was counted yet.</p>`
  const greatest = Math.max(...values.map(({ high, value }) => Math.min(high, 2 * value)), limits?.upper ?? 0)
  const least = Math.min(...values.map(({ low }) => low), limits?.lower ?? Infinity)
  const margin = (greatest - least) * 0.08 || 1
  const [bottom, top] = [Math.max(0, least - margin), greatest + margin]
  const x = (at: number) =>
    values.length === 1
      ? (LEFT + WIDE - RIGHT) / 2
      : LEFT + (at * (WIDE - LEFT - RIGHT)) / (values.length - 1)
  const y = (value: number) =>
    TOP + (HIGH - TOP - BOTTOM) * (1 - (Math.min(Math.max(value, bottom), top) - bottom) / (top - bottom))
  /** Where the limits lie close together their numbers keep apart. */
  const level = (value: number, kind: string, side: -1 | 0 | 1) => {
    const mean = y(limits?.mean ?? value)
    const text = side === 0 ? mean : mean + side * Math.max(LABEL_APART, side * (y(value) - mean))
    return svg`<line class=${kind} x1=${LEFT} x2=${WIDE - RIGHT} y1=${y(value)} y2=${y(value)} />
      <text x=${LEFT - 8} y=${text + 5} text-anchor="end">${words.number(value)}</text>`
  }
  const way = values
    .map((each, at) => `${at === 0 ? 'M' : 'L'}${x(at).toFixed(1)} ${y(each.value).toFixed(1)}`)
    .join('')
  return html`<figure>
    <svg viewBox="0 0 ${WIDE} ${HIGH}" role="img" aria-label=${summary(values, limits, words)}>
      ${limits && limits.innerLower > 0 ? svg`<line class="inner" x1=${LEFT} x2=${WIDE - RIGHT} y1=${y(limits.innerLower)} y2=${y(limits.innerLower)} />` : nothing}
      ${limits ? svg`${level(limits.upper, 'limit', -1)}${level(limits.mean, 'mean', 0)}${level(limits.lower, 'limit', 1)}` : nothing}
      <path class="way" d=${way} />
      ${values.map((each, at) => point(each, x(at), y))}
      ${limits ? nothing : values.map((each, at) => ownNumber(each, x(at), y, words.number, at === values.length - 1))}
      <text x=${x(0)} y=${HIGH - 6} text-anchor="middle">${words.date(values[0]!.at)}</text>
      ${
        values.length > 1
          ? svg`<text x=${WIDE - RIGHT} y=${HIGH - 6} text-anchor="end">${words.date(values.at(-1)!.at)}</text>`
          : nothing
      }
    </svg>
    <figcaption class="soft">
      ${
        limits
          ? limitWords(limits, words.number)
          : `Each number is a harvest's count, and the line through it how far that count may be off. What is
            usual for the lot is drawn from five harvests on.`
      }
    </figcaption>
    <details>
      <summary>As numbers</summary>
      <table>
        <caption class="hidden">
          ${words.title}
        </caption>
        <thead>
          <tr>
            <th>Harvest</th>
            <th>Count</th>
            <th>Limits</th>
            <th>Sign</th>
          </tr>
        </thead>
        <tbody>
          ${[...values].reverse().map(
            each =>
              html`<tr>
                <td>${words.date(each.at)}</td>
                <td>${words.number(each.value)}</td>
                <td>${words.number(each.low)}–${words.number(each.high)}</td>
                <td>${each.signs.map(sign => SIGN_WORDS[sign]).join(', ')}</td>
              </tr>`,
          )}
        </tbody>
      </table>
    </details>
  </figure>`
}

/** What each line is, with its number; the verdict goes by them. */
export function limitWords(
  { mean, lower, upper, innerLower, from, leftOut }: NonNullable<ControlChart['limits']>,
  number: ChartWords['number'],
): string {
  const left = leftOut === 0 ? '' : `, without ${leftOut} that failed`
  const inner =
    innerLower > 0 && innerLower <= mean / 2
      ? `They lie so wide apart that little can be told from chance: only two of three below the dotted line (${number(innerLower)}) are called a decline.`
      : innerLower > 0
        ? `Two of three below the dotted line (${number(innerLower)}) are called a decline${lower > 0 ? ', and one below the broken line a failed batch' : ''}.`
        : 'They lie so wide apart that no decline could be told from chance.'
  return `The middle line is the mean of the first ${from + leftOut} harvests${left} (${number(mean)}). Between the broken lines (${number(lower)} to ${number(upper)}) is chance. ${inner}`
}

/** A disc within the limits, a ring where its count leaves that in doubt, a hollow square beyond them: told apart without colour. */
function point(each: Value, x: number, y: (value: number) => number) {
  const at = y(each.value)
  return svg`<g class=${isOut(each) ? 'point out' : 'point'}>
    <line x1=${x} x2=${x} y1=${y(each.low)} y2=${y(each.high)} />
    ${isOut(each) ? svg`<rect x=${x - 7} y=${at - 7} width="14" height="14" />` : svg`<circle class=${isUnsure(each) ? 'unsure' : ''} cx=${x} cy=${at} r="5" />`}
  </g>`
}

/** Before there are limits to read it against, each harvest says its own number. */
function ownNumber(
  { value, low, high }: Value,
  x: number,
  y: (value: number) => number,
  number: ChartWords['number'],
  isLast: boolean,
) {
  // Of the only or newest harvest the ends of its count, too; there is room to its left.
  const apart = (at: number) => Math.abs(y(at) - y(value)) >= LABEL_APART
  const end = (at: number) =>
    apart(at) ? svg`<text x=${x - 12} y=${y(at) + 5} text-anchor="end">${number(at)}</text>` : nothing
  return svg`<text class="own" x=${x - 12} y=${y(value) + 5} text-anchor="end">${number(value)}</text>
    ${isLast ? svg`${end(low)}${end(high)}` : nothing}`
}

function summary(
  values: readonly Value[],
  limits: ControlChart['limits'],
  { title, number }: ChartWords,
): string {
  const last = values.at(-1)!
  const told = `${title}: ${values.length} harvests, the last ${number(last.value)}`
  const signs = last.signs.map(sign => SIGN_WORDS[sign]).join(', ')
  if (!limits) return `${told}. Limits are drawn from five harvests on.`
  return `${told}${signs === '' ? '' : `, ${signs}`}; mean ${number(limits.mean)}, limits ${number(limits.lower)} to ${number(limits.upper)}.`
}
