/**
 * What batches of one lot differ by, in the requirement that shows in measured degree-hours, as a standard deviation on the
 * ln scale. Its parts, for a hatch at 16 °C above the threshold that takes some 20 h, where vessels are held at 24 to 28 °C:
 *
 * | | |
 * | --- | --- |
 * | the probe's error, ±0.5 °C as two standard deviations (DS18B20 datasheet), common to the whole batch | 1.6 % |
 * | the probe's place: bubbles leave layers a tenth apart, in still water more (own estimate) | 0.5 % |
 * | the soak of 1 to 2 h, which is hours and not degree-hours (FAO Fisheries Technical Paper 428, Annex 4) | 0.7 % |
 * | the straight line: 20 and 24 °C disagree by 2 to 5 % about the published rows' constant, anywhere between | 1.0 % |
 * | salt, pH, light and handling, which differ from batch to batch (own estimate) | 1.0 % |
 *
 * Their squares add up to 2.3 %.
 */
export const BATCH_LN_SD = 0.023

/** Share of batches to which something happened that no lot explains. Own choice. */
export const ODD_BATCHES = 0.01

/** What batches of one lot differ by in their hatching share: a standard deviation of its ln odds, 5 points at 80 %. Own choice. */
export const BATCH_ODDS_SD = 0.3
/** An unlucky batch (dark, salt wrong, air lost) hatches less: how often, by how much, and how far that scatters. Own choice. */
export const UNLUCKY_BATCHES = 0.07
export const UNLUCKY_ODDS = -1.2
export const UNLUCKY_ODDS_SD = 1
/** Batches of which any share may hatch, none as well as all: cooked, poisoned, never wetted. Own choice. */
export const DUD_BATCHES = 0.01

/**
 * Counts whose number says little because a volume is not what it is taken for: what was drawn off for the whole vessel, a dilution
 * forgotten, half the litres. How often, and the shape of the gamma distribution by which the number is then off: within a factor
 * of three mostly, of ten still, and never nothing where there is plenty. Own choice.
 */
export const COUNT_SLIPS = 0.05
export const SLIP_SHAPE = 2
/** Somebody who harvests mostly sees that most are out: how likely it is all the same while hardly any are. Own choice. */
export const HARVESTED_BLIND = 0.02
/** From this share on nobody waits for more because few are seen. Own choice. */
export const SEEN_TO_BE_OUT = 0.5

/**
 * How a lot changes while it is kept, as a random walk: standard deviation for each square root of a month. Cysts long in the freezer
 * are given 36 h instead of 24 (common practice, no source); with three years for "long" and that as two standard
 * deviations it is ln(1.5) / 2 / √36 = 0.03 a month. The share that hatches: own choice.
 */
export const STORED_LN_SD = 0.03
export const STORED_ODDS_SD = 0.2
/** From here on more storage does not widen it further, months: it is then hardly known better than one never seen. */
export const LONGEST_STORED_MONTHS = 24
export const MONTH_MS = 30.44 * 24 * 3_600_000

/** How likely it is before each batch that the lot was spoilt since the last one, so that any share may hatch. Own choice. */
export const SPOILT_BEFORE_BATCH = 0.02
