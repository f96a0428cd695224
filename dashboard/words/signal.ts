/** Below this something should be done about it. */
export const WEAK_DBM = -78

/** Received strength in words. The steps are common practice for 2.4 GHz, no source. */
export function signalText(rssiDbm: number): string {
  const word = rssiDbm >= -60 ? 'strong' : rssiDbm >= -72 ? 'good' : rssiDbm >= -82 ? 'weak' : 'hardly any'
  return `${word} signal (${rssiDbm} dBm)`.replace('(-', '(−')
}
