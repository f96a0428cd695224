/** The way of one cyst, in order. */
export const CystStage = { dry: 0, hydrated: 1, broken: 2, umbrella: 3, instarI: 4, instarII: 5 } as const
export type CystStage = (typeof CystStage)[keyof typeof CystStage]

export const CauseOfDeath = { none: 0, heat: 1, oxygen: 2, starved: 3 } as const
export type CauseOfDeath = (typeof CauseOfDeath)[keyof typeof CauseOfDeath]

/** Shares of an embryo's own requirement at which the shell breaks and the umbrella hangs out; assumed. */
export const BREAKS_AT = 0.75
export const UMBRELLA_AT = 0.88
