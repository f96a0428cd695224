/** Tells the time, Unix ms. Only `main` makes one; everything else is handed it, or a time. */
export type Clock = () => number
