/** Within the plateau of 20 to 35 g/L in which all hatches alike; saves salt against its middle. g/L. */
export const USUAL_SALINITY_GPL = 25
/** In the middle of the trade's 26.7 to 27.8 °C, to a degree. */
export const USUAL_WATER_C = 27
/**
 * What a vessel takes is the water that it is filled with; it is drawn twice as large, as the trade fills a 2 L bottle with 1 L so that it
 * can foam.
 */
export const BRIM_OF_FILL = 2

/** What the set-up asks for, 80 to 82 °F, °C (common practice, no source): water in it is as it should be. */
export const RIGHT_WATER_C = { from: 26.7, to: 27.8 } as const
