import { clipOf } from '../../audio-fixtures/clips.ts'
import type { Observation } from '../../src/app/observe.ts'
import type { SentenceId } from '../../src/messages/cue.ts'
import type { OpenedApp } from './openApp.ts'

type Said = Extract<Observation, { kind: 'said' }>

/** Someone who talks to the tool and knows of it only what the loudspeaker says. */
export interface Conversation {
  /** Speaks one of the clips of the fixtures and returns when the last word is over. */
  say(text: string): Promise<void>
  /**
   * Waits for the tool to say a sentence, from what it has said since the last one that was waited for.
   *
   * @param seconds how long, at most
   * @throws when something else or nothing is said
   */
  hears(sentence: SentenceId, seconds?: number): Promise<Said>
  /** Waits until the tool has finished what it is saying now. */
  letItFinish(): Promise<void>
}

const pause = (seconds: number) => new Promise((resolve) => setTimeout(resolve, seconds * 1000))

/** Talks to an app that was opened with a `live` microphone. */
export function converse(app: OpenedApp, voice: string): Conversation {
  let listenedTo = 0
  return {
    async say(text) {
      const { samples } = await clipOf(voice, text)
      await pause(await app.page.evaluate((spoken) => window.pageSound.speak(spoken), [...samples]))
    },
    async hears(sentence, seconds = 10) {
      const said = await app.waitFor(
        (observation): observation is Said =>
          observation.kind === 'said' &&
          observation.sentence === sentence &&
          app.observations.indexOf(observation) >= listenedTo,
        seconds,
      )
      listenedTo = app.observations.indexOf(said) + 1
      return said
    },
    async letItFinish() {
      for (;;) {
        const last = app.observations.findLast((observation) => observation.kind === 'said')
        const left = last ? last.until - last.at : 0
        const seen = app.observations.length
        await pause(Math.max(0.3, left + 0.3))
        if (!app.observations.slice(seen).some((observation) => observation.kind === 'said')) return
      }
    },
  }
}
