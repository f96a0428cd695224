/**
 * More salt than that is a slip of the pen, whatever is asked for or written down, g/L: above 85 to 90 g/L cysts take up no water
 * (New 2002, FAO Fisheries Technical Paper 428, Annex 4), and the oxygen in the water is reckoned up to 120. Own choice.
 */
export const MOST_SALT_GPL = 120
