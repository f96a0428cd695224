/**
 * What kills. Doses are shares of what kills the median animal: 1 kills half, each animal has its own tolerance.
 *
 * Sources disagree on heat: metabolism of hydrated cysts is interrupted, reversibly, from 33 to 40 °C and ends above 40
 * (New 2002, FAO Fisheries Technical Paper 428, Annex 4); another handbook calls the stop above 33 irreversible; one study saw good
 * hatching at 32. So: no harm to embryos up to 33 °C and to nauplii up to 32, then a time that shortens e-fold every few °C.
 * The hours are assumed. The trade's 29.4 °C is an alarm limit, not one of these.
 */
const EMBRYO = { harmlessC: 33, referenceC: 38, hoursAtReference: 6, eFoldC: 1.3 }
const NAUPLIUS = { harmlessC: 32, referenceC: 36, hoursAtReference: 4, eFoldC: 1.5 }

/** Heat dose per hour at a temperature; `hatched` animals are the more tender. */
export function heatDosePerH(waterC: number, hatched: boolean): number {
  const { harmlessC, referenceC, hoursAtReference, eFoldC } = hatched ? NAUPLIUS : EMBRYO
  if (waterC <= harmlessC) return 0
  return Math.exp((waterC - referenceC) / eFoldC) / hoursAtReference
}

/** No lethal level was found in print; 2 mg/l as the beginning of harm is from memory, 45 min without any is assumed. */
const HARMLESS_MGPL = 2
const HOURS_WITHOUT = 0.75

/** Dose of suffocation per hour for hatched animals. Encysted ones survive months without (Clegg 1992) and merely wait. */
export function suffocationDosePerH(oxygenMgpl: number): number {
  const missing = Math.max(0, 1 - oxygenMgpl / HARMLESS_MGPL)
  return (missing * missing) / HOURS_WITHOUT
}

/** How far lack of oxygen slows an embryo: 1 from 2 mg/l on, 0 without; assumed straight between. */
export function oxygenPace(oxygenMgpl: number): number {
  return Math.min(1, Math.max(0, oxygenMgpl / HARMLESS_MGPL))
}
