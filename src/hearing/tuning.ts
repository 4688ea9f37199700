/** What can be tuned between the microphone and the engine. The values are the hearing benchmark's choice, see docs/decisions.md. */
export interface Tuning {
  /** how much of the sound goes past the noise suppression untouched, 0 to 1 */
  dryShare: number
  /** how probable speech must be for listening to begin, 0 to 1; 0 listens always */
  voice: number
}

export const usualTuning: Tuning = { dryShare: 0.12, voice: 0.5 }
