import type { BarClock } from '../messages/clock.ts'
import type { Group } from '../messages/command.ts'
import type { Cue, Earcon, SentenceId } from '../messages/cue.ts'
import { earconPattern, renderEarcon } from './earcons.ts'
import { SpeakingError, type SpeakingFailure } from './failure.ts'
import { loadLanguage } from './language.ts'
import { audioContext, isBlocked, loudspeaker, playsOpus, setLoudness } from './loudspeaker.ts'
import { renderPour } from './pourSound.ts'
import { loadRecordings, type Recordings } from './recordings.ts'
import { scheduleSound, type ScheduledSound } from './scheduleSound.ts'
import {
  add,
  plan,
  remove,
  silence,
  type Channel,
  type Slot,
  type Step,
  type Utterance,
} from './speechQueue.ts'
import { renderSpeech } from './renderSpeech.ts'
import { voices } from './voiceIndex.ts'
import { wordSentence, WordingError, type Language } from './wording.ts'

/** How the announcer speaks. The bar's settings have all of these, so they can be passed as they are. */
export interface SpeakingSettings {
  /** of speech and earcons, 0 to 100 percent */
  loudness: number
  /** of speech: 1 is normal, 2 is twice as fast; 0.5 to 2 */
  speed: number
  /** long for a trainee, short for a regular; `warnings` is short and leaves prompts unspoken */
  prompts: 'long' | 'short' | 'warnings'
  /** number of the voice, from 1; there are {@link voiceCount} */
  voice: number
  /** read numbers digit by digit */
  digits: boolean
  /** a screen reader speaks the screen: answers and prompts are reported and left to it */
  screenReader: boolean
}

/** How many voices there are to choose from. */
export const voiceCount = voices.length

/** How much slower "say that slower" is. */
const slowerBy = 0.75

/**
 * Level of an earcon without a time of its own, "logged" above all, while speech sounds: 12 dB down, so that it does
 * not cover a word. At full level an independent recogniser took "eighteen" under it for "nine".
 */
const underSpeech = 0.25

/** A sound of its own time is left out when its cue comes later than this after it, in seconds. */
const lateLimit = 0.1

/** A sentence at the moment it begins to sound, or would: times in seconds on the bar clock. */
export interface Said {
  sentence: SentenceId
  text: string
  at: number
  until: number
  /** false when the settings leave it to the screen */
  spoken: boolean
}

/** An earcon at the moment it begins to sound. */
export interface Sounded {
  earcon: Earcon
  voice: number
  at: number
}

export interface Announcer {
  /** Loads language and voice. @throws {SpeakingError} when there is nothing to speak with; earcons work all the same */
  load(): Promise<void>
  /** Sounds, schedules or takes back what the bar wants heard. Never throws: failures go to {@link onFailure}. */
  perform(cue: Cue): void
  /** Takes effect with the next sentence. @throws {RangeError} naming the value that is out of range */
  setSettings(settings: SpeakingSettings): void
  /** Calls back when speech begins and when it ends. @returns a function that stops that, like all of these */
  onSpeaking(callback: (speaking: boolean) => void): () => void
  onSaid(callback: (said: Said) => void): () => void
  onSounded(callback: (sounded: Sounded) => void): () => void
  onFailure(callback: (failure: SpeakingFailure) => void): () => void
  /** Silences everything. The audio context stays, since hearing shares it. */
  close(): void
}

export interface AnnouncerOptions {
  clock: BarClock
  /** a folder of `grammar/` */
  language: string
  settings: SpeakingSettings
  /** address of the folder with the recordings */
  folder?: string
}

type SayCue = Extract<Cue, { kind: 'say' }>
type Sayable = Pick<SayCue, 'sentence' | 'values'>

/** What the queue carries: a sentence, ready to play. */
interface Speech {
  sentence: SentenceId
  text: string
  samples: Float32Array
  side: Group | undefined
}

/** Makes the app's one voice. */
export function createAnnouncer({
  clock,
  language,
  settings: first,
  folder = 'voices',
}: AnnouncerOptions): Announcer {
  const context = audioContext()
  const listeners = {
    speaking: new Set<(speaking: boolean) => void>(),
    said: new Set<(said: Said) => void>(),
    sounded: new Set<(sounded: Sounded) => void>(),
    failure: new Set<(failure: SpeakingFailure) => void>(),
  }
  let settings = checkSettings(first)
  let words: Promise<Language> | undefined
  let recordings: Promise<Recordings> | undefined
  let channel: Channel<Speech> = silence
  let order = 0
  let speaking = false
  /** sentences, and changes to them, that wait for their turn */
  let preparing = 0
  let blockedTold = false
  let closed = false
  let lastSaid: Sayable | undefined
  let timer: ReturnType<typeof setTimeout> | undefined
  /** sentences are made ready one after the other, so that they keep their order */
  let ready: Promise<void> = Promise.resolve()
  const playing = new Map<Slot<Speech>, ScheduledSound>()
  const unannounced = new Set<Slot<Speech>>()
  const sounds = new Map<ScheduledSound, { tag?: string; sounded?: Sounded; start: number; end: number }>()
  setLoudness(settings.loudness)

  const fail = (error: unknown) => {
    const failure = failureOf(error)
    for (const tell of listeners.failure) tell(failure)
  }

  // --- making sentences ready

  const load = () => {
    words ??= loadLanguage(language)
    recordings ??= startLoading()
    return Promise.all([words, recordings])
  }

  function startLoading(): Promise<Recordings> {
    if (!playsOpus())
      return Promise.reject(
        new SpeakingError({ kind: 'no audio', detail: 'this browser does not decode Ogg Opus' }),
      )
    const voice = voices[settings.voice - 1] ?? voices[0]
    const loading = loadRecordings(context, folder, language, voice)
    loading.catch(() => {
      if (recordings === loading) recordings = undefined // so that the next sentence tries again
    })
    return loading
  }

  async function prepare(cue: SayCue, how: { slower: boolean; spelled: boolean }) {
    const isLeftToScreen =
      (settings.prompts === 'warnings' && cue.priority === 'prompt') ||
      (settings.screenReader && (cue.priority === 'prompt' || cue.priority === 'answer'))
    const wording = wordSentence(await (words ??= loadLanguage(language)), cue.sentence, cue.values ?? {}, {
      detail: settings.prompts === 'long' ? 'long' : 'short',
      digits: settings.digits,
      spelled: how.spelled,
    })
    if (wording.parts.length === 0) return
    const { sentence } = cue
    const { text } = wording
    if (cue.at === undefined && cue.expires === undefined) lastSaid = { sentence, values: cue.values }
    if (isLeftToScreen) {
      report({ sentence, text, at: clock.now(), until: clock.now(), spoken: false })
      return
    }
    const speed = settings.speed * (how.slower ? slowerBy : 1)
    const [, voice] = await load()
    const samples = await renderSpeech(wording.parts, voice, context.sampleRate, speed)
    const utterance: Utterance<Speech> = {
      order: order++,
      priority: cue.priority,
      duration: samples.length / context.sampleRate,
      content: { sentence, text, samples, side: cue.side },
      ...(cue.at !== undefined && { at: clock.toAudio(cue.at) }),
      ...(cue.expires !== undefined && { expires: clock.toAudio(cue.expires) }),
      ...(cue.tag !== undefined && { tag: cue.tag }),
    }
    channel = add(channel, utterance)
    pump()
  }

  /** Does something once all earlier sentences are ready. */
  const inTurn = (work: () => Promise<void> | void) => {
    preparing++
    ready = ready
      .then(() => (closed ? undefined : work()))
      .catch(fail)
      .finally(() => preparing--)
  }

  /** Whether speech sounds now or is about to. */
  const isTalking = () =>
    preparing > 0 ||
    channel.slots.some(({ start, end }) => start < context.currentTime + 0.5 && end > context.currentTime)

  // --- playing them

  function carryOut(step: Step<Speech>) {
    channel = step.channel
    for (const { slot, at } of step.stop) {
      // A slot that was cut before has been replaced by a shorter one of the same utterance.
      for (const [begun, sound] of playing) {
        if (begun.utterance !== slot.utterance || begun.start !== slot.start) continue
        sound.stop(at)
        if (at <= begun.start) unannounced.delete(begun)
      }
    }
    for (const slot of step.start) {
      playing.set(
        slot,
        scheduleSound(context, loudspeaker(), slot.utterance.content.samples, slot.start, {
          side: slot.utterance.content.side,
        }),
      )
      unannounced.add(slot)
    }
  }

  /** Plans, plays, reports what has begun, and comes back when there is more to do. */
  function pump() {
    if (closed) return
    if (isBlocked()) {
      if (!blockedTold) fail(new SpeakingError({ kind: 'audio blocked' }))
      blockedTold = true
      return // `statechange` calls again
    }
    blockedTold = false
    const now = context.currentTime
    const step = plan(channel, now)
    carryOut(step)
    const isSpeaking = channel.slots.some((slot) => slot.start <= now && now < slot.end)
    if (isSpeaking !== speaking) {
      speaking = isSpeaking
      for (const tell of listeners.speaking) tell(speaking)
    }
    for (const slot of unannounced) {
      if (slot.start > now) continue
      unannounced.delete(slot)
      const { sentence, text } = slot.utterance.content
      report({ sentence, text, at: clock.toBar(slot.start), until: clock.toBar(slot.end), spoken: true })
    }
    for (const [slot] of playing) if (slot.end < now) playing.delete(slot)
    for (const [sound, { sounded, start, end }] of sounds) {
      const entry = sounds.get(sound)
      if (sounded && start <= now && entry) {
        for (const tell of listeners.sounded) tell(sounded)
        delete entry.sounded
      }
      if (end < now) sounds.delete(sound)
    }
    const next = [
      ...(step.wake === null ? [] : [step.wake]),
      ...channel.slots.flatMap(({ start, end }) => [start, end]),
      ...[...sounds.values()].flatMap(({ sounded, start }) => (sounded ? [start] : [])),
    ].filter((time) => time > now)
    clearTimeout(timer)
    if (next.length > 0) timer = setTimeout(pump, Math.max(1, 1000 * (Math.min(...next) - now)))
  }

  function report(said: Said) {
    for (const tell of listeners.said) tell(said)
  }

  /** Plays samples at a bar time, or now, whatever speaks. */
  function sound(
    cue: { at?: number; side?: Group; tag?: string; sounded?: Omit<Sounded, 'at'> },
    samples: Float32Array,
    until?: number,
  ) {
    const now = context.currentTime
    const wanted = cue.at === undefined ? now : clock.toAudio(cue.at)
    if (wanted < now - lateLimit) return
    // held back until a touch, "heard" would come long after what was heard
    if (cue.at === undefined && isBlocked()) return pump()
    const start = Math.max(now, wanted)
    const end = until === undefined ? start + samples.length / context.sampleRate : clock.toAudio(until)
    const scheduled = scheduleSound(context, loudspeaker(), samples, start, {
      until: until === undefined ? undefined : end,
      side: cue.side,
    })
    sounds.set(scheduled, {
      start,
      end,
      ...(cue.tag !== undefined && { tag: cue.tag }),
      ...(cue.sounded && { sounded: { ...cue.sounded, at: clock.toBar(start) } }),
    })
    pump()
  }

  function cancel(matches: (utterance: Utterance<Speech>) => boolean) {
    carryOut(remove(channel, matches, context.currentTime))
    pump()
  }

  function perform(cue: Cue) {
    switch (cue.kind) {
      case 'say':
        return inTurn(() => prepare(cue, { slower: false, spelled: false }))
      case 'again':
        return inTurn(() => prepare({ kind: 'say', priority: 'answer', ...(lastSaid ?? nothingSaid) }, cue))
      case 'earcon': {
        const { earcon, voice = 1, at } = cue
        const samples = renderEarcon(earconPattern(earcon, voice), context.sampleRate)
        const level = at === undefined && isTalking() ? underSpeech : 1
        return sound(
          { ...cue, sounded: { earcon, voice } },
          samples.map((sample) => level * sample),
        )
      }
      case 'pour sound':
        return sound(cue, renderPour(cue.flow, context.sampleRate), cue.at + cue.seconds)
      case 'cancel':
        for (const [scheduled, { tag }] of sounds) {
          if (tag !== cue.tag) continue
          scheduled.stop(context.currentTime)
          sounds.delete(scheduled)
        }
        return inTurn(() => cancel(({ tag }) => tag === cue.tag))
      case 'hush':
        return inTurn(() =>
          cancel(
            ({ priority }) => priority === 'prompt' || (priority === 'answer' && cue.only === undefined),
          ),
        )
    }
  }

  context.addEventListener('statechange', pump)
  const listen = <T>(set: Set<T>, callback: T) => {
    set.add(callback)
    return () => void set.delete(callback)
  }
  return {
    async load() {
      try {
        await load()
      } catch (error) {
        throw new SpeakingError(failureOf(error), { cause: error })
      }
      pump()
    },
    perform(cue) {
      try {
        perform(cue)
      } catch (error) {
        fail(error)
      }
    },
    setSettings(next) {
      const before = settings
      settings = checkSettings(next)
      setLoudness(settings.loudness)
      if (settings.voice === before.voice) return
      recordings = startLoading()
      recordings.catch(fail)
    },
    onSpeaking: (callback) => listen(listeners.speaking, callback),
    onSaid: (callback) => listen(listeners.said, callback),
    onSounded: (callback) => listen(listeners.sounded, callback),
    onFailure: (callback) => listen(listeners.failure, callback),
    close() {
      closed = true
      clearTimeout(timer)
      context.removeEventListener('statechange', pump)
      for (const scheduled of [...playing.values(), ...sounds.keys()]) scheduled.stop(context.currentTime)
      for (const set of Object.values(listeners)) set.clear()
    },
  }
}

const nothingSaid: Sayable = { sentence: 'talk.nothing-said' }

function failureOf(error: unknown): SpeakingFailure {
  if (error instanceof SpeakingError) return error.failure
  if (error instanceof WordingError)
    return { kind: 'sentence broken', sentence: error.sentence, detail: error.message }
  return { kind: 'no audio', detail: String(error) }
}

function checkSettings(settings: SpeakingSettings): SpeakingSettings {
  const check = (name: 'loudness' | 'speed' | 'voice', low: number, high: number) => {
    const value = settings[name]
    if (!(value >= low && value <= high))
      throw new RangeError(`setting ${name} is ${value}: ${low} to ${high}`)
  }
  check('loudness', 0, 100)
  check('speed', 0.5, 2)
  check('voice', 1, voiceCount)
  return settings
}
