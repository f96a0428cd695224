/** What was found of one clause of the link's specification. */
export const Verdict = {
  right: 'right',
  wrong: 'wrong',
  /** It works, and would work better otherwise. */
  better: 'better',
  /** The device gave no occasion to look at it. */
  unseen: 'unseen',
} as const
export type Verdict = (typeof Verdict)[keyof typeof Verdict]

export interface Finding {
  /** A short name that stays the same: `connect.will`. */
  readonly clause: string
  /** What the specification asks for. */
  readonly asks: string
  readonly verdict: Verdict
  /** What the device did instead, or what was seen of it. */
  readonly detail: string
}

/** A clause that was kept unless `problem` says otherwise. */
export function found(
  clause: string,
  asks: string,
  problem: string | null,
  seen: string,
  otherwise: Verdict = Verdict.wrong,
): Finding {
  return { clause, asks, verdict: problem === null ? Verdict.right : otherwise, detail: problem ?? seen }
}

export const unseen = (clause: string, asks: string, why: string): Finding => ({
  clause,
  asks,
  verdict: Verdict.unseen,
  detail: why,
})

/** What the device is told on trial: samples every 2 s, packs every 4 s. */
export const TRIAL_CONFIG = { revision: 1, sampleIntervalS: 2, reportIntervalS: 4, stateIntervalS: 10 }
