/** Common practice: about 40 lbf. */
export const commonTampPounds = 40

/** Pressure of a tamp over a basket, kilopascals. Force in newtons, inner diameter in millimetres. @throws OutOfRange */
export function tampPressure(_newtons: number, _basketDiameter: number): number {
  throw new Error('being written')
}
