/** Each has a figure of its own. */
export const CURVES = ['water', 'room', 'air', 'light', 'level'] as const
/** All that is measured: the upper water is drawn into the figure of the water. */
export const MEASURED = ['water', 'upper-water', 'room', 'air', 'light', 'level'] as const
export type Curve = (typeof MEASURED)[number]
