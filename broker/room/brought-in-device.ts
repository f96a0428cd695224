/** No device may be called so: what was measured elsewhere is kept apart from every device that speaks here. */
const BROUGHT_IN = 'brought-in/'

export const broughtInDevice = (device: string): string => `${BROUGHT_IN}${device}`
export const isBroughtIn = (device: string): boolean => device.startsWith(BROUGHT_IN)
