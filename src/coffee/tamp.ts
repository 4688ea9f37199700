import { inRange } from './outOfRange.ts'

/** Force of a tamp, pounds-force: common practice. */
export const commonTampPounds = 40

/**
 * Pressure of a tamp over a basket, kilopascals: force / area of the basket's inner circle.
 * Force in newtons, diameter in millimetres. @throws OutOfRange
 */
export function tampPressure(newtons: number, basketDiameter: number): number {
  inRange('force of the tamp', newtons, 0, 1000, 'newtons')
  inRange('diameter of the basket', basketDiameter, 35, 75, 'millimetres')
  const squareMillimetres = (Math.PI * basketDiameter ** 2) / 4
  return (newtons / squareMillimetres) * 1000
}
