import type { Language } from '../../grammar/language.ts'
import type { BarClock } from '../messages/clock.ts'
import type { GrammarName } from '../messages/grammarName.ts'
import type { Expectation, Utterance } from '../messages/utterance.ts'
import { eagerPhrases, holdOf } from './eagerPhrases.ts'
import { isAmongTalk, judge, usualStrictness } from './judge.ts'
import { MicrophoneError, openMicrophone, type Microphone, type MicrophoneFailure } from './microphone.ts'
import { missingWords } from './missingWords.ts'
import { openGrammars } from './openGrammars.ts'
import { readingsOf, type Grammars, type Hypothesis } from './readings.ts'
import type { FromWorker, VoiceBeside } from './protocol.ts'
import { createOwnSpeech } from './ownSpeech.ts'
import { startRecogniser, type RecogniserClient } from './recogniser.ts'
import { usualTuning } from './tuning.ts'

/** Why the ear hears nothing. Each has a sentence of its own, `trouble.*`, that tells the way out. */
export type EarFailure = MicrophoneFailure | 'model missing' | 'model broken' | 'worker died'

export type EarState =
  | { kind: 'off' }
  /** the person is asked for the microphone */
  | { kind: 'asking' }
  | { kind: 'loading'; /** 0 to 1 */ progress: number }
  | {
      kind: 'listening'
      /** words of the grammars that the model does not know */ missing: readonly string[]
    }
  | { kind: 'failed'; reason: EarFailure; detail: string }

export interface EarOptions {
  /** must run, or nothing is heard */
  context: AudioContext
  clock: BarClock
  language: Language
  /** a Vosk model, tar.gz or zip, or where it is */
  model: string | Blob
}

export interface ListenOptions {
  /** only stop-class words, whatever grammars are named */
  onlyStop?: boolean
  /** commands count only after the tool's name; stop-class words always do */
  nameRequired?: boolean
  /**
   * What stays open while the tool speaks and its echo may come back, besides stop-class words. Where the browser
   * cancels the echo everything stays open, but for sentences that teach what can be said. Left out, nothing.
   */
  whileSpeaking?: readonly GrammarName[]
  /** what is likelier to be said now than the rest */
  expected?: readonly Expectation[]
}

/** What it sounds like so far. */
export interface SoFar {
  text: string
  /** how far listening has come, bar clock */
  until: number
}

export interface Ear {
  readonly state: EarState
  /**
   * Asks for the microphone and loads the model; also the way out of a failure. Resolves once the ear listens or
   * has failed.
   */
  open(): Promise<void>
  /** Listens with another model from now on; opens like {@link Ear.open}. */
  use(model: string | Blob): Promise<void>
  /** What may be said from now on. May be called before {@link Ear.open}. A word in flight is heard under the new grammars. */
  listen(names: readonly GrammarName[], options?: ListenOptions): void
  /** Tells when the tool speaks: it must not obey itself, see {@link ListenOptions.whileSpeaking}. */
  setSpeaking(speaking: boolean): void
  /** What the tool speaks now holds commands. */
  setTeaching(): void
  /** Each returns a function that takes the listener away again. */
  /** A phrase was said. Whether it is obeyed, asked about or left alone is for others to decide. */
  onUtterance(listener: (utterance: Utterance) => void): () => void
  onPartial(listener: (partial: SoFar) => void): () => void
  onState(listener: (state: EarState) => void): () => void
  /** The system holds the microphone, for a call say, or has given it back: it is silent meanwhile. */
  onMuted(listener: (isMuted: boolean) => void): () => void
  close(): void
}

/** Seconds by which the times of a word may be off. */
const blur = 0.15
/** Seconds from the end of the tool's own speech until its echo has died away. */
const echo = 0.1
/** What is left of a sentence whose beginning was obeyed at once ("stop" of "stop there") is no news for so many seconds. */
const afterEager = 1
/** A worker that dies is replaced at once; one that dies again within this many seconds, only after them. */
const restartPause = 60

export function createEar({ context, clock, language, model: first }: EarOptions): Ear {
  let model = first
  const eager = eagerPhrases(language)
  const listeners = {
    utterance: new Set<(utterance: Utterance) => void>(),
    partial: new Set<(partial: SoFar) => void>(),
    state: new Set<(state: EarState) => void>(),
    muted: new Set<(isMuted: boolean) => void>(),
  }
  let state: EarState = { kind: 'off' }
  let wanted: { names: readonly GrammarName[]; options: ListenOptions } = { names: ['stop'], options: {} }
  let speaking = false
  const ownSpeech = createOwnSpeech(echo)

  let microphone: Microphone | null = null
  let recogniser: RecogniserClient | null = null
  let grammars: Grammars | null = null
  let whileSpeakingGrammars: Grammars | null = null
  let listenId = 0
  let eagerUntil = 0
  /** when the last commands were said */
  let obeyed: { onset: number; end: number }[] = []
  let restarted = -Infinity
  /** counts openings, so that what an abandoned one still says is not taken for the present one's */
  let opening = 0

  const enter = (next: EarState): void => {
    state = next
    for (const listener of listeners.state) listener(next)
  }

  const shut = (): void => {
    opening++
    microphone?.close()
    recogniser?.close()
    microphone = recogniser = null
  }

  const fail = (reason: EarFailure, detail: string): void => {
    shut()
    enter({ kind: 'failed', reason, detail })
    if (reason !== 'worker died') return
    const now = opening
    const again = () => {
      // opened or closed by somebody meanwhile
      if (opening !== now) return
      restarted = performance.now()
      void open()
    }
    const pause = restarted + restartPause * 1000 - performance.now()
    if (pause > 0) setTimeout(again, pause)
    else again()
  }

  const applyGrammars = (): void => {
    if (recogniser === null) return
    const { onlyStop = false, whileSpeaking = [], nameRequired = false } = wanted.options
    const open = openGrammars(language, onlyStop ? [] : wanted.names, nameRequired)
    grammars = open
    // The engine listens for all words all the time: with few to choose from, it would take others for them.
    whileSpeakingGrammars = openGrammars(language, onlyStop ? [] : whileSpeaking, nameRequired)
    const hold = holdOf(wanted.names)
    recogniser.listen({ id: ++listenId, phrases: open.phrases, eager, hold, notBefore: 0 })
  }

  const hear = (
    hypotheses: readonly Hypothesis[],
    beside: readonly VoiceBeside[],
    isEager: boolean,
  ): void => {
    const words = hypotheses[0]?.words ?? []
    if (grammars === null || words.length === 0) return
    const others = beside.filter(({ at }) => !obeyed.some(({ onset, end }) => at > onset && at < end))
    // one may answer the tool at once: its own voice before a command is no talk to be left alone
    const strangers = others.filter(({ at }) => ownSpeech.overlaps(at, at) === 'no')
    let judged = judge(words, strangers, grammars.open, usualStrictness)
    const over = ownSpeech.overlaps(judged.onset, judged.end)
    const isOpen = over === 'no' || (over === 'plain' && microphone?.isEchoCancelled)
    const heardUnder: Grammars = isOpen ? grammars : (whileSpeakingGrammars ?? grammars)
    const beyond = over === 'no' ? strangers : others
    if (over !== 'no') judged = judge(words, others, heardUnder.open, usualStrictness)

    const isRest = judged.onset < eagerUntil
    if (isEager) eagerUntil = judged.end + afterEager
    if (judged.kind === 'rejected' && isRest) return
    if (judged.kind === 'command')
      obeyed = [...obeyed.slice(-3), { onset: judged.onset - blur, end: judged.end + blur }]

    const isTalk = judged.kind === 'rejected' && judged.reason === 'among talk'
    const [first, last] = [words[0]?.onset ?? 0, words.at(-1)?.end ?? 0]
    const outside = beyond.filter(({ at }) => at < first - blur || at > last + blur)
    // a word that was not understood is a voice beside the others; with nothing else beside, it may be one of them
    const isHalf = isTalk && over === 'no' && !isAmongTalk(outside, usualStrictness)
    const readings =
      judged.kind === 'rejected' && judged.reason === 'too quick'
        ? []
        : readingsOf(hypotheses, heardUnder, wanted.options.expected ?? [], clock.toBar, isHalf)
    const utterance: Utterance = {
      readings,
      heard: judged.heard,
      onset: clock.toBar(judged.onset),
      end: clock.toBar(judged.end),
      alone: !isTalk || (isHalf && readings.length > 0),
      overOwnSpeech: over !== 'no',
    }
    for (const listener of listeners.utterance) listener(utterance)
  }

  const open = async (): Promise<void> => {
    shut()
    const mine = opening
    enter({ kind: 'asking' })
    const opened = new Promise<readonly string[] | null>((resolve) => {
      const tell = (message: FromWorker): void => {
        if (mine !== opening) return resolve(null)
        switch (message.kind) {
          case 'loading':
            if (state.kind === 'loading') enter({ kind: 'loading', progress: message.progress })
            return
          case 'opened':
            return resolve(missingWords(language, message.vocabulary))
          case 'failed':
            fail(message.reason, message.detail)
            return resolve(null)
          case 'partial': {
            const partial = { text: message.text, until: clock.toBar(message.until) }
            if (message.id === listenId) for (const listener of listeners.partial) listener(partial)
            return
          }
          case 'heard':
            if (message.id === listenId) hear(message.hypotheses, message.beside, message.eager)
        }
      }
      recogniser = startRecogniser({
        model,
        language: language.code,
        sampleRate: context.sampleRate,
        tuning: usualTuning,
        tell,
      })
    })
    applyGrammars()

    try {
      const listener = recogniser?.source()
      if (listener === undefined) return
      const onEnded = (): void => {
        if (mine === opening) fail('unplugged', 'the microphone has ended')
      }
      const onMuted = (isMuted: boolean): void => {
        if (mine === opening) for (const listener of listeners.muted) listener(isMuted)
      }
      const asked = await openMicrophone({ context, listener, onEnded, onMuted })
      if (mine !== opening) return asked.close()
      microphone = asked
    } catch (error) {
      if (mine !== opening) return
      return fail(error instanceof MicrophoneError ? error.reason : 'no microphone', String(error))
    }
    enter({ kind: 'loading', progress: 0 })
    const missing = await opened
    if (mine === opening && missing !== null) enter({ kind: 'listening', missing })
  }

  // a microphone that is plugged in is the way out that needs no hands
  const onDevices = (): void => {
    if (state.kind === 'failed' && (state.reason === 'unplugged' || state.reason === 'no microphone'))
      void open()
  }
  navigator.mediaDevices?.addEventListener('devicechange', onDevices)

  return {
    get state() {
      return state
    },
    open,
    use(next) {
      model = next
      return open()
    },
    listen(names, options = {}) {
      wanted = { names, options }
      applyGrammars()
    },
    setSpeaking(now) {
      if (now === speaking) return
      speaking = now
      if (now) ownSpeech.begin(context.currentTime)
      else ownSpeech.end(context.currentTime + context.outputLatency)
    },
    setTeaching: () => ownSpeech.teach(),
    onUtterance: (listener) => added(listeners.utterance, listener),
    onPartial: (listener) => added(listeners.partial, listener),
    onState: (listener) => added(listeners.state, listener),
    onMuted: (listener) => added(listeners.muted, listener),
    close() {
      navigator.mediaDevices?.removeEventListener('devicechange', onDevices)
      shut()
      enter({ kind: 'off' })
    },
  }
}

function added<L>(listeners: Set<L>, listener: L): () => void {
  listeners.add(listener)
  return () => void listeners.delete(listener)
}
