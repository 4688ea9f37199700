/**
 * Watches the shots at one setting for a creep that is not noise: a plain value, stepped once a shot.
 */
export interface DriftMonitor {
  readonly version: 1
  readonly notch: number | null
  /** shots seen at this setting, and the mean of their ln(time) */
  readonly count: number
  readonly meanLogTime: number
  /** exponentially weighted mean of the standardised residuals */
  readonly ewma: number
  /** cumulative sums above and below */
  readonly cusumHigh: number
  readonly cusumLow: number
  /** the direction last warned of at this setting, so that a warning is given once */
  readonly warned: DriftDirection | null
}

export type DriftDirection = 'slower' | 'faster'

export interface DriftShot {
  /** seconds */
  readonly seconds: number
  readonly notch: number
  /** shot-to-shot scatter of ln(time): `scatterOf(belief)` */
  readonly scatter: number
  /** chance that it was a fault of technique: `belief.last.faultChance`; a likely fault is not counted */
  readonly faultChance: number
  /** the dose still held the old grind: not counted */
  readonly mixed: boolean
}

export interface DriftWarning {
  readonly direction: DriftDirection
  readonly sentence: 'drift.slower' | 'drift.faster'
  /** shots seen at this setting; percent changed since it was set */
  readonly values: { readonly shots: number; readonly percent: number }
}

/** A monitor that has seen nothing. */
export function beginDriftMonitor(): DriftMonitor {
  return {
    version: 1,
    notch: null,
    count: 0,
    meanLogTime: 0,
    ewma: 0,
    cusumHigh: 0,
    cusumLow: 0,
    warned: null,
  }
}

/** One more shot. A move of the grind starts it afresh. @throws OutOfRange */
export function watchDrift(
  _monitor: DriftMonitor,
  _shot: DriftShot,
): { monitor: DriftMonitor; warning: DriftWarning | null } {
  throw new Error('being written')
}
