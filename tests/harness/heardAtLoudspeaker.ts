import type { OpenedApp } from './openApp.ts'

/** A sentence as it came out of the loudspeaker. */
export interface Heard {
  /** what the player meant to say */
  text: string
  /** mono, 16 kHz, -1..1, with whatever else sounded at the time */
  samples: Float32Array
}

/** Kept before a sentence and after it, seconds. */
const around = 0.15

/** The sound of everything that was said, from the audio graph, but for what a more important sentence cut off. */
export async function heardAtLoudspeaker(app: OpenedApp): Promise<Heard[]> {
  const said = app.observations.flatMap((observation) =>
    observation.kind === 'said' && observation.spoken ? [observation] : [],
  )
  const heard: Heard[] = []
  for (const { at, until, text } of said) {
    if (said.some((other) => other.at > at && other.at < until - 0.01)) continue
    const samples = await app.page.evaluate(([from, to]) => window.pageSound.loudspeaker(from, to), [
      at - around,
      until + around,
    ] as const)
    heard.push({ text, samples: Float32Array.from(samples) })
  }
  return heard
}
