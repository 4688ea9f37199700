/**
 * Water through a bed of ground coffee. SI units inside this file: metres, seconds, pascals, pascal seconds.
 */
export interface Bed {
  /** mean hydraulic (Sauter) particle diameter, metres */
  readonly diameter: number
  /** share of the wet bed that is open to flow */
  readonly porosity: number
  /** metres */
  readonly depth: number
  /** square metres */
  readonly area: number
}

/** A pump: full pressure when nothing flows, nothing left at its free flow, straight in between. */
export interface Pump {
  /** pascals */
  readonly pressure: number
  /** cubic metres a second; infinite for a perfect pump */
  readonly freeFlow: number
}

/**
 * Viscosity of water in pascal seconds, from degrees Celsius, 0 to 100.
 * Vogel's equation with the constants commonly given for water (2.414e-5 Pa s, 247.8 K, 140 K), from memory;
 * within 2.5 % of the IAPWS values between 20 and 100 degrees.
 */
export const waterViscosity = (celsius: number): number => 2.414e-5 * 10 ** (247.8 / (celsius + 273.15 - 140))

/** Permeability of a packed bed, square metres: Kozeny and Carman's equation with the constant 180. */
export const permeability = ({ diameter, porosity }: Pick<Bed, 'diameter' | 'porosity'>): number =>
  (diameter ** 2 * porosity ** 3) / (180 * (1 - porosity) ** 2)

/** Flow through the saturated bed, cubic metres a second: Darcy's law met by the pump's line. */
export function steadyFlow(bed: Bed, pump: Pump, viscosity: number): number {
  const conductance = (permeability(bed) * bed.area) / (viscosity * bed.depth)
  return (conductance * pump.pressure) / (1 + (conductance * pump.pressure) / pump.freeFlow)
}

/**
 * Seconds for the water front to cross the dry bed at full pressure: Darcy's law over a wet part that grows from
 * nothing, viscosity x porosity x depth^2 / (2 x permeability x pressure).
 */
export const wettingTime = (bed: Bed, pump: Pump, viscosity: number): number =>
  (viscosity * bed.porosity * bed.depth ** 2) / (2 * permeability(bed) * pump.pressure)
