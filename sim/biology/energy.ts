/**
 * What a nauplius still has of the energy it hatched with. The first moult about 8 h after hatching at hatching temperature
 * (from memory) leaves 73 % (the moult costs 27 %; Vanhaecke, Lavens & Sorgeloos 1983); after a day it has lost the upper end of
 * the 22 to 37 % they give. The part before the moult, here 1 % an hour, is assumed.
 */
export const MOULT_AFTER_H = 8
/** The temperature that the hours on this page are for, °C. */
export const HATCHING_C = 28
export const INSTAR_I_LOSS_PER_H = 0.01
export const MOULT_COST = 0.19
export const INSTAR_II_LOSS_PER_H = 0.0062
/** With less than this share left it starves; assumed. */
export const STARVED_BELOW = 0.25
