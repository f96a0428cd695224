import { z } from 'zod'

/**
 * What can be written down of a batch beside first swimmers, counts and notes: what was seen, measured and done, in the trade's
 * words. The limits are where a number is a slip of the pen.
 */
export const OBSERVED_LIMITS = {
  ph: { from: 4, to: 11 },
  salinityGpl: { from: 0, to: 200 },
  waterC: { from: -2, to: 60 },
  nauplii: { from: 0, to: 1e9 },
  /** A vessel that holds more than this cold keeps for no published time. */
  coldC: { from: 0, to: 10 },
  words: 300,
} as const

export const SalinityHow = {
  hydrometer: 'hydrometer',
  refractometer: 'refractometer',
  conductivity: 'conductivity',
  other: 'other',
} as const
export type SalinityHow = (typeof SalinityHow)[keyof typeof SalinityHow]

/** What becomes of nauplii that are taken out of a vessel. */
export const TakenFor = { fed: 'fed', held: 'held', discarded: 'discarded' } as const
export type TakenFor = (typeof TakenFor)[keyof typeof TakenFor]

const within = ({ from, to }: { readonly from: number; readonly to: number }) => z.number().min(from).max(to)
const words = z.string().trim().max(OBSERVED_LIMITS.words).optional()
const share = z.number().min(0).max(1)

/** Seen or done, with no more than a word to it. */
export const PLAIN_KINDS = [
  'ring-knocked-down',
  'foam',
  'leak',
  'air-off',
  'air-on',
  'light-below',
  'settled',
  'drawn-off',
] as const
const plain = <K extends string>(kind: K) => z.object({ kind: z.literal(kind), words })

export const Ph = z.object({ kind: z.literal('ph'), ph: within(OBSERVED_LIMITS.ph), words })
export const Salinity = z.object({
  kind: z.literal('salinity'),
  salinityGpl: within(OBSERVED_LIMITS.salinityGpl),
  how: z.enum(SalinityHow),
  words,
})
/** By a thermometer in the hand. */
export const Temperature = z.object({
  kind: z.literal('temperature'),
  waterC: within(OBSERVED_LIMITS.waterC),
  words,
})
export const Taken = z.object({
  kind: z.literal('taken'),
  for: z.enum(TakenFor),
  /** How many, where it is known. */
  nauplii: within(OBSERVED_LIMITS.nauplii).nullable(),
  /** Which share of what the vessel held. */
  share: share.nullable(),
  /** Of the refrigerator, °C: of what is held. */
  coldC: within(OBSERVED_LIMITS.coldC).nullable(),
  /** As reckoned when it was written down: energy left of the mean nauplius, 0 to 1, and when the first tenth was out. */
  energyLeft: share.nullable().default(null),
  firstOutAtMs: z.number().nullable().default(null),
  words,
})
export const Photo = z.object({
  kind: z.literal('photo'),
  photoId: z.string().min(1).max(64),
  media: z.string(),
  bytes: z.int().min(1),
  words,
})
/** The steps of the set-up with their times, as they were ticked off. */
export const SetUp = z.object({
  kind: z.literal('set-up'),
  steps: z.array(z.object({ step: z.string().min(1).max(40), atMs: z.number() })).max(40),
})
/** What was written down of the batch itself was changed: what it was before and after. */
export const Corrected = z.object({
  kind: z.literal('corrected'),
  before: z.record(z.string(), z.union([z.string(), z.number(), z.null()])),
  after: z.record(z.string(), z.union([z.string(), z.number(), z.null()])),
})

export const Observation = z.discriminatedUnion('kind', [
  plain('ring-knocked-down'),
  plain('foam'),
  plain('leak'),
  plain('air-off'),
  plain('air-on'),
  plain('light-below'),
  plain('settled'),
  plain('drawn-off'),
  Ph,
  Salinity,
  Temperature,
  Taken,
  Photo,
  SetUp,
  Corrected,
])
export type Observation = z.infer<typeof Observation>
