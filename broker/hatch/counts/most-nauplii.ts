/**
 * The most nauplii that a gram of dry cysts is known to give: the upper end of a good product (Treece 2000, SRAC Publication
 * 702). A count above it is doubted. The 3.64 µg that a cyst weighs (Clegg) would allow 275,000; smaller cysts give more.
 */
export const MOST_NAUPLII_PER_G = 300_000
