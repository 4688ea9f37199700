import type { Recordings } from './recordings.ts'
import { stretchTime } from './timeStretch.ts'
import type { Part } from './wording.ts'

/**
 * Joins the recordings and silences of a sentence without a gap, at a speed.
 * @throws {SpeakingError} for a phrase that was never recorded or cannot be decoded
 */
export async function renderSpeech(
  parts: readonly Part[],
  recordings: Recordings,
  sampleRate: number,
  speed: number,
): Promise<Float32Array> {
  const pieces = await Promise.all(
    parts.map((part) =>
      'pause' in part
        ? new Float32Array(Math.round(part.pause * sampleRate))
        : recordings.decode(part.phrase),
    ),
  )
  const joined = new Float32Array(pieces.reduce((sum, piece) => sum + piece.length, 0))
  let at = 0
  for (const piece of pieces) {
    joined.set(piece, at)
    at += piece.length
  }
  return stretchTime(joined, sampleRate, speed)
}
