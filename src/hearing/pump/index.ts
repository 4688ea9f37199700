/** The door of the pump's ear: what the app may use of it. */
export { createPumpEar, type PumpEar } from './pumpEar.ts'
