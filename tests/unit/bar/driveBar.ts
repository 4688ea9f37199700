import { createActor } from 'xstate'
import { bundledDrills as loadDrills } from '../../../grammar/bundledDrills.ts'
import { readLanguage } from '../../../grammar/readLanguage.ts'
import {
  barMachine,
  defaultSettings,
  expectedNow,
  mayBeSaid,
  readSaved,
  resumeBar,
  saveBar,
  situationOf,
  toEvent,
  type BarInput,
  type Settings,
} from '../../../src/bar/index.ts'
import { openGrammars } from '../../../src/hearing/openGrammars.ts'
import { hypothesisOf, readingsOf } from '../../../src/hearing/readings.ts'
import type { Intent, Slots } from '../../../src/messages/command.ts'
import type { Cue } from '../../../src/messages/cue.ts'
import type { Entry, EntryKind } from '../../../src/messages/entry.ts'
import type { Utterance } from '../../../src/messages/utterance.ts'

const language = readLanguage('en')
const bundledDrills = await loadDrills('en')

/** A bar with no ears, mouth or store: told commands at times, and asked what it sounded and logged. */
export function driveBar(settings: Partial<Settings> = {}, input: Partial<BarInput> = {}) {
  const start = 1000
  const full: BarInput = {
    settings: { ...defaultSettings, prompts: 'short', ...settings },
    voices: 2,
    drills: bundledDrills,
    now: start,
    ...input,
  }
  let bar = createActor(barMachine, { input: full })
  let now = start
  const cues: Cue[] = []
  const log: Entry[] = []
  const listen = () => {
    bar.on('cue', ({ cue }) => cues.push(cue))
    bar.on('entry', ({ entry }) => log.push(entry))
    bar.start()
  }
  listen()

  const driver = {
    get bar() {
      return bar
    },
    cues,
    log,
    get now() {
      return now
    },
    /** lets time pass, with a tick every half second */
    wait(seconds: number) {
      for (let left = seconds; left > 0; left -= 0.5) {
        now += Math.min(left, 0.5)
        bar.send({ type: 'tick', at: now })
      }
      return driver
    },
    /** says a command whose first word begins now */
    say<I extends Intent>(intent: I, ...slots: Slots[I] extends null ? [] : [Slots[I]]) {
      const command = {
        intent,
        slots: slots[0] ?? null,
        onset: now,
        end: now,
        confidence: 1,
        heard: intent,
        source: 'voice',
      }
      bar.send(toEvent(command as Parameters<typeof toEvent>[0]))
      return driver
    },
    /**
     * speaks words and lets the bar hear them as the ear would: read over all grammars, with what is expected.
     * `confidence` is that of the least sure word.
     */
    hear(text: string, { confidence = 0.95, ...other }: Partial<Utterance> & { confidence?: number } = {}) {
      const { open, all, fit } = openGrammars(language, driver.open, false)
      const words = text.split(' ').map((word, index, { length }) => ({
        word,
        onset: now + index * 0.3,
        end: now + (index + 1) * 0.3,
        confidence: word === '[unk]' ? 1 : index === 0 || length === 1 ? confidence : 1,
      }))
      const utterance: Utterance = {
        readings: readingsOf(
          [hypothesisOf(words)],
          { open, all, fit },
          expectedNow(driver.situation, driver.loop),
          (time) => time,
        ),
        heard: text,
        onset: now,
        end: words.at(-1)?.end ?? now,
        alone: true,
        overOwnSpeech: false,
        ...other,
      }
      bar.send({ type: 'utterance', utterance })
      return driver
    },
    /** pulls one shot of so many seconds */
    pull(seconds: number) {
      return driver.say('start pour').wait(seconds).say('stop pour')
    },
    /** stores the state as the log does and starts again from it, `away` seconds later, with another program's input */
    reload(away: number, changed: Partial<BarInput> = {}) {
      const stored: unknown = JSON.parse(JSON.stringify(saveBar(bar, now)))
      bar.stop()
      now += away
      bar = resumeBar({ ...full, ...changed }, readSaved(stored)).bar
      listen()
      bar.send({ type: 'resumed', at: now })
      return driver
    },
    get situation() {
      return situationOf(bar.getSnapshot())
    },
    get place() {
      return driver.situation.place
    },
    get open() {
      return mayBeSaid(driver.situation)
    },
    get loop() {
      const loop = bar.getSnapshot().children.loop
      if (!loop) throw new Error('the bar has no loop')
      return loop.getSnapshot().context
    },
    /** sentences spoken since the last call */
    said(): string[] {
      return cues
        .splice(0)
        .flatMap((cue) => (cue.kind === 'say' && cue.at === undefined ? [cue.sentence] : []))
    },
    entries<K extends EntryKind>(kind: K) {
      return log.filter((entry): entry is Extract<Entry, { kind: K }> => entry.kind === kind)
    },
  }
  return driver
}
