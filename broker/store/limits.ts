/** Messages kept that could not be read. */
export const MOST_QUARANTINED = 1000

/** Deliveries kept that are done. */
export const MOST_DELIVERED = 2000

/** Sessions kept: those that expire last. A person has a few, so more are a flood of sign-ins. */
export const MOST_SESSIONS = 1000

/** Lines of the audit log kept of what was done. */
export const MOST_DONE = 20_000
/** Lines kept of what was tried and refused: apart, so that whoever guesses passwords cannot push out what was done. */
export const MOST_FAILED = 5000

/** So many lines of the log of the watch are kept; a busy room writes a few hundred a day. */
export const MOST_WATCH_ROWS = 200_000
/** How many more may be there until the next look. */
export const WATCH_LOOK_EVERY = 1000

/** Power-ups remembered for each device, by when they were first heard: repeats come from the last one or two. */
export const BOOTS_PER_DEVICE = 64
