import { execFileSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Voice } from './voices.ts'
import { sampleRate } from './wav.ts'

/** espeak-ng's own speed, words a minute (its manual page). */
const espeakSpeed = 175

/**
 * Speaks a text. Needs Debian's `flite`, `espeak-ng` and `sox`: only whoever adds a phrase needs them, since
 * what they made is committed.
 *
 * @returns samples in -1..1 at {@link sampleRate}, at the level the engine gave
 */
export function synthesise(voice: Voice, text: string): Float32Array {
  const folder = mkdtempSync(join(tmpdir(), 'earshot-'))
  try {
    const spoken = join(folder, 'spoken.wav')
    if (voice.engine === 'flite')
      execFileSync('flite', [
        '-voice',
        voice.voice,
        '--setf',
        `duration_stretch=${1 / voice.pace}`,
        '-t',
        text,
        spoken,
      ])
    else
      execFileSync('espeak-ng', [
        '-v',
        voice.voice,
        '-s',
        `${Math.round(espeakSpeed * voice.pace)}`,
        '-w',
        spoken,
        text,
      ])
    const raw = join(folder, 'spoken.f32')
    execFileSync('sox', [spoken, '-r', `${sampleRate}`, '-c', '1', '-e', 'floating-point', '-b', '32', raw], {
      stdio: 'ignore',
    })
    const bytes = readFileSync(raw)
    return new Float32Array(new Uint8Array(bytes).buffer)
  } finally {
    rmSync(folder, { recursive: true })
  }
}
