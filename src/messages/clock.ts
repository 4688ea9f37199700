/**
 * The bar clock: seconds since the Unix epoch, read off the wall once when the audio context starts and from
 * then on advanced by the audio clock alone. So a duration is exact to the sample, a wall clock that is set
 * back in the middle of a shift does no harm, and a time survives a reload.
 */
export interface BarClock {
  /** seconds, bar clock */
  now(): number
  /** the audio context's time for a bar time; may lie in the past */
  toAudio(barTime: number): number
  /** the bar time for an audio context's time */
  toBar(audioTime: number): number
}
