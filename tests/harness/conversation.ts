import { clipOf } from '../../audio-fixtures/clips.ts'
import type { Observation } from '../../src/app/live/observe.ts'
import type { SentenceId } from '../../src/messages/cue.ts'
import type { OpenedApp } from './openApp.ts'

/**
 * Someone who talks to the tool and knows of it only what comes out of the loudspeaker: sentences and earcons. Nothing
 * of the screen, the log or the machines is looked at.
 */
export interface Conversation {
  /** Speaks one of the clips of the fixtures and returns when the last word is over. */
  say(text: string): Promise<void>
  /**
   * Waits for the tool to say a sentence after the last one that was waited for.
   *
   * @param seconds how long, at most
   * @returns the words it was said in
   * @throws when it is not said in time
   */
  hears(sentence: SentenceId, seconds?: number): Promise<string>
  /**
   * Says something and waits for the answer; says it again, as people do, when the tool did not understand.
   *
   * @returns the answer's words
   */
  ask(text: string, answer: SentenceId): Promise<string>
  /** Waits until the tool has said all it has to say. */
  letItFinish(): Promise<void>
  /** how long the sentence that was heard last takes, seconds */
  readonly lasted: number
  /** how often something had to be said again */
  readonly repeated: number
}

type Said = Observation & { kind: 'said' }

/** How often a person says a thing before giving up, and how long an answer may take, seconds. */
const patience = { times: 3, seconds: 6 }

const pause = (seconds: number) => new Promise((resolve) => setTimeout(resolve, seconds * 1000))

/** Talks to an app that was opened with a `live` microphone. */
export function converse(app: OpenedApp, voice: string): Conversation {
  let listenedTo = 0
  let lasted = 0
  let repeated = 0
  const since = () => app.observations.slice(listenedTo)

  const say = async (text: string) => {
    const { samples } = await clipOf(voice, text)
    await pause(await app.page.evaluate((spoken) => window.pageSound.speak(spoken), [...samples]))
  }
  const hears = async (sentence: SentenceId, seconds = 10) => {
    const said = await app.waitFor(
      (observation): observation is Said =>
        observation.kind === 'said' && observation.sentence === sentence && since().includes(observation),
      seconds,
    )
    listenedTo = app.observations.indexOf(said) + 1
    lasted = said.until - said.at
    return said.text
  }
  return {
    get lasted() {
      return lasted
    },
    get repeated() {
      return repeated
    },
    say,
    hears,
    async ask(text, answer) {
      for (let time = 1; ; time++) {
        await say(text)
        try {
          return await hears(answer, patience.seconds)
        } catch (error) {
          if (time === patience.times)
            throw new Error(`"${text}" was said ${time} times; ${error}`, { cause: error })
          repeated++
        }
      }
    },
    async letItFinish() {
      let quietSince = app.observations.length
      for (;;) {
        const last = app.observations.findLast((observation) => observation.kind === 'said')
        await pause(Math.max(0, last ? last.until - last.at : 0) + 0.5)
        if (!app.observations.slice(quietSince).some((observation) => observation.kind === 'said')) return
        quietSince = app.observations.length
      }
    },
  }
}
