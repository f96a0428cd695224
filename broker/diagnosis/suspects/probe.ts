import { normalDensity } from '../../hatch/normal.ts'
import { HOUR_MS } from '../../hatch/units.ts'
import { Quality } from '../../intake/reading.ts'
import type { Sample } from '../../store/contract.ts'
import { CauseKind, type Evidence, type Span } from '../contract.ts'
import { CELL_H, CELL_MS, runsOf } from '../record/grid.ts'
import { spanOf } from '../record/record.ts'
import { standingApart } from './standing.ts'
import { afterStart, type Case, degrees, degreesApart, hoursWords, type Suspect } from './suspect.ts'

/** What a thermometer in the hand is off by, always and at each reading: standard deviations, °C. Own choice. */
const CHECK_SD_C = 0.2
const READ_SD_C = 0.2
/**
 * Most probes are as good as their datasheet, ±0.5 °C as two standard deviations; one in seven that is looked at for it is broken or was
 * set wrongly, and off by anything. Own choice, °C.
 */
const GOOD_SD_C = 0.25
const BROKEN_SHARE = 1 / 7
const BROKEN_SD_C = 2
/** Readings that cannot be believed for less than this spoil no batch's record, h. Own choice. */
const FAULTY_H = 1.5
const MISSING_H = 3.5
const OUT_H = 1
const DATASHEET = 'A DS18B20 is good to ±0.5 °C (datasheet)'

/** How far the water's probe is off, °C: its reading less the truth. */
export interface Offset {
  readonly offsetC: number
  readonly sdC: number
  readonly evidence: readonly Evidence[]
}

/** From another thermometer, and from water that stood in its room. `null` when neither tells. */
export function probeOffset(of: Case): Offset | null {
  const samples = (of.input.readings.water ?? []).filter(one => one.quality === Quality.good)
  // Where it hung in the air or was stuck it is wrong for another reason.
  const elsewhere = [...of.record.outOfWater, ...of.record.frozen]
  const checks = (of.input.written.waterChecked ?? []).flatMap(({ atMs, waterC }) => {
    if (elsewhere.some(({ fromMs, toMs }) => atMs >= fromMs && atMs <= toMs)) return []
    const shown = nearest(samples, atMs)
    return shown === null ? [] : [{ atMs, shown, waterC }]
  })
  const parts: Offset[] = []
  if (checks.length > 0) {
    const offsetC = checks.reduce((sum, one) => sum + one.shown - one.waterC, 0) / checks.length
    parts.push({
      offsetC,
      sdC: Math.hypot(CHECK_SD_C, READ_SD_C / Math.sqrt(checks.length)),
      evidence: checks.map(({ atMs, shown, waterC }) => ({
        role: 'water',
        spans: [{ fromMs: atMs, toMs: atMs }],
        value: shown,
        limit: waterC,
        unit: '°C',
        source: `Another thermometer, written down. ${DATASHEET}`,
        words: `It showed ${degrees(shown)} where another thermometer showed ${degrees(waterC)}, ${afterStart(of, atMs)}.`,
      })),
    })
  }
  const stood = standingApart(of)
  if (stood !== null) parts.push(stood)
  if (parts.length === 0) return null
  const precision = parts.reduce((sum, { sdC }) => sum + 1 / sdC ** 2, 0)
  return {
    offsetC: parts.reduce((sum, { offsetC, sdC }) => sum + offsetC / sdC ** 2, 0) / precision,
    sdC: Math.sqrt(1 / precision),
    evidence: parts.flatMap(({ evidence }) => evidence),
  }
}

/** How sure it is that a probe is not as good as its datasheet, 0 to 1: by Bayes' rule. */
export function isOffBy({ offsetC, sdC }: Offset): number {
  const height = (sd: number) => normalDensity(offsetC / Math.hypot(sd, sdC)) / Math.hypot(sd, sdC)
  const broken = BROKEN_SHARE * height(BROKEN_SD_C)
  return broken / (broken + (1 - BROKEN_SHARE) * height(GOOD_SD_C))
}

/** A probe that is off, stuck, unplugged or at its fault values. */
export function probeWrong(of: Case, offset: Offset | null): Suspect | null {
  const off = offset && Math.abs(offset.offsetC) > 0.5 ? offset : null
  const isOff = off ? isOffBy(off) : 0
  const faults = faultSpans(of)
  const faultyH = hoursOf(faults)
  const isFaulty = faultyH >= FAULTY_H ? 0.97 : faultyH >= 0.25 ? 0.3 : 0
  if (Math.max(isOff, isFaulty) < 0.02) return null
  const isStuck = of.record.frozen.length > 0
  const first = faults[0]
  const words =
    isOff >= isFaulty && off
      ? `The water's probe shows ${degreesApart(Math.abs(off.offsetC))} too ${off.offsetC > 0 ? 'much' : 'little'}: the water was ${off.offsetC > 0 ? 'cooler' : 'warmer'} than its record says.`
      : `The water's probe ${isStuck ? 'was stuck at one value' : 'did not measure'} for ${hoursWords(faultyH)} from ${afterStart(of, first?.fromMs ?? 0)} on: the record of that time cannot be believed.`
  const evidence: Evidence[] = [...(off?.evidence ?? [])]
  if (first)
    evidence.push({
      role: 'water',
      spans: faults,
      value: faultyH,
      limit: FAULTY_H,
      unit: 'h',
      source: isStuck
        ? 'A probe of fine steps never shows one value for hours: noise alone moves its last bit. Own choice'
        : 'Fault values of the DS18B20 (datasheet) and of its drivers',
      words: `${isStuck ? 'Stuck' : 'Faulty'} for ${hoursWords(faultyH)}.`,
    })
  return {
    kind: CauseKind.probeWrong,
    words,
    evidence,
    real: Math.max(isOff, isFaulty),
    change:
      isOff >= isFaulty && off
        ? `Hold it in melting ice, 0 °C (32 °F), and enter an offset of ${degreesApart(-off.offsetC)}, or replace it.`
        : 'Check its plug and cable, and replace it if it does so again; until then go by another thermometer.',
  }
}

export function probeOut(of: Case): Suspect | null {
  const { outOfWater } = of.record
  const first = outOfWater[0]
  if (!first) return null
  const hours = hoursOf(outOfWater)
  return {
    kind: CauseKind.probeOutOfWater,
    words: `The water's probe hung in the air for ${hoursWords(hours)} from ${afterStart(of, first.fromMs)} on: what it shows there is the room, and the water is not known.`,
    evidence: [
      {
        role: 'water',
        spans: outOfWater,
        value: hours,
        limit: null,
        unit: 'h',
        source: 'No water cools that fast, or follows its room so closely. Own choice',
        words: `It fell to the room's temperature within minutes, or went along with the room, for ${hoursWords(hours)}.`,
      },
    ],
    real: hours >= OUT_H ? 0.95 : 0.4,
    change:
      'Fasten the probe below the lowest water line, so that neither a tug nor the harvest leaves it dry.',
  }
}

/** Hours of which nothing was heard. */
export function missingReadings(of: Case): Suspect | null {
  const { input, record } = of
  // What nobody set out to measure is a blind spot, and no device's fault.
  if (input.watched === false) return null
  const heard = new Uint8Array(record.grid.cells)
  for (const { atMs } of input.readings.water ?? []) {
    const cell = Math.floor((atMs - record.grid.fromMs) / CELL_MS)
    if (cell >= 0 && cell < heard.length) heard[cell] = 1
  }
  const runs = runsOf(record.grid.cells, cell => heard[cell] === 0, 3)
  const longest = runs.reduce((a, b) => (b[1] - b[0] > a[1] - a[0] ? b : a), [0, 0] as [number, number])
  // The last cell reaches beyond the end: nothing is missing of what was not to be.
  const wholeH = Math.min(record.grid.cells * CELL_H, (record.endMs - record.grid.fromMs) / HOUR_MS)
  const within = ([from, to]: readonly [number, number]) => Math.min(to * CELL_H, wholeH) - from * CELL_H
  const total = runs.reduce((sum, run) => sum + within(run), 0)
  const longestH = within(longest)
  const share = total / Math.max(wholeH, 1)
  if (longestH < 1 && share < 0.1) return null
  return {
    kind: CauseKind.readingsMissing,
    words: missingWords(),
    evidence: [
      {
        role: 'water',
        spans: runs.map(run => spanOf(record.grid, run)),
        value: longestH,
        limit: MISSING_H,
        unit: 'h',
        source: 'Water that nobody measures strays by more than matters within some hours. Own choice',
        words: `The longest gap is ${hoursWords(longestH)}.`,
      },
    ],
    real: longestH >= MISSING_H || share >= 0.25 ? 0.97 : 0.25,
    change: 'Look at the device’s power and its radio: it should keep what it measures while it cannot send.',
  }

  function missingWords(): string {
    if (total >= wholeH) return `Nothing was measured in all of its ${hoursWords(wholeH)}.`
    const from = `from ${afterStart(of, spanOf(record.grid, longest).fromMs)} on`
    const piece = runs.length === 1 ? from : `${hoursWords(longestH)} of it in one piece ${from}`
    return `Nothing was measured for ${hoursWords(total)} of ${hoursWords(wholeH)}, ${piece}.`
  }
}

function faultSpans({ input, record }: Case): Span[] {
  const spans: Span[] = []
  let openMs: number | null = null
  let lastMs = 0
  for (const { atMs, quality } of input.readings.water ?? []) {
    if (atMs < record.grid.fromMs || atMs > record.endMs) continue
    const isFault = quality !== Quality.good && quality !== Quality.outOfWater && quality !== Quality.frozen
    lastMs = atMs
    if (isFault) openMs ??= atMs
    else if (openMs !== null) {
      spans.push({ fromMs: openMs, toMs: atMs })
      openMs = null
    }
  }
  if (openMs !== null) spans.push({ fromMs: openMs, toMs: lastMs })
  return [...spans, ...record.frozen.filter(({ toMs }) => toMs > record.grid.fromMs)].sort(
    (a, b) => a.fromMs - b.fromMs,
  )
}

function hoursOf(spans: readonly Span[]): number {
  return spans.reduce((sum, { fromMs, toMs }) => sum + (toMs - fromMs) / 3_600_000, 0)
}

/** The reading nearest to a moment, no further off than a quarter of an hour. */
function nearest(samples: readonly Sample[], atMs: number): number | null {
  let best: number | null = null
  let apart = 15 * 60_000
  for (const sample of samples) {
    if (sample.value !== null && Math.abs(sample.atMs - atMs) < apart) {
      apart = Math.abs(sample.atMs - atMs)
      best = sample.value
    }
  }
  return best
}
