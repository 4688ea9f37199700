import { unknownWord } from '../../grammar/understand.ts'
import { engineRate, type Engine, type Recogniser } from './engine.ts'
import { createFrontEnd, type FrontEnd } from './frontEnd.ts'
import type { FromWorker, Listen, Sound, Word } from './protocol.ts'
import { Recent } from './recent.ts'
import type { Suppressor } from './suppressor.ts'

/** Samples given to the engine at a time: 50 ms. */
const piece = engineRate / 20
/** Sound from before a change of grammar that is heard again under the new one, at most: 2 s. */
const carried = 2 * engineRate
/** The engine's word times go wrong after ten minutes: it starts counting afresh. A new recogniser is made well before. */
const oldAge = 300 * engineRate
/** Seconds. A longer gap in the sound ends the utterance; a shorter one is filled with silence, so that times stay true. */
const longGap = 0.5

interface Session {
  listen: Listen
  recogniser: Recogniser
  /** number of the first sample it was given, and of the next that it will be given */
  start: number
  next: number
  /** what it sounds like, and since which sample it has sounded so */
  text: string
  since: number
}

/** One unbroken stretch of sound. */
interface Stream {
  /** the context's frame number of its first sample, and of the next that should come */
  firstFrame: number
  nextFrame: number
  frontEnd: FrontEnd
  recent: Recent
  /** of the front end's samples: everything before it has been heard and told */
  done: number
}

/** Turns sound into words, one grammar at a time, and keeps account of the time of every sample. */
export class Listener {
  #stream: Stream | null = null
  #listen: Listen | null = null
  #session: Session | null = null

  constructor(
    private readonly engine: Engine,
    private readonly suppressor: Suppressor | null,
    private readonly sampleRate: number,
    private readonly tell: (message: FromWorker) => void,
  ) {}

  /** Listens for other phrases from now on. A word in flight is not cut: the sound since the last words told is heard again. */
  listen(listen: Listen): void {
    this.#listen = listen
    this.#renew()
    this.#catchUp()
  }

  hear({ frame, samples }: Sound): void {
    const gap = this.#stream === null ? Infinity : frame - this.#stream.nextFrame
    if (gap < 0 || gap > longGap * this.sampleRate) this.#begin(frame)
    else if (gap > 0) this.#take(new Float32Array(gap))
    this.#take(samples)
    this.#catchUp()
  }

  #begin(frame: number): void {
    this.#stream = {
      firstFrame: frame,
      nextFrame: frame,
      frontEnd: createFrontEnd(this.sampleRate, this.suppressor),
      recent: new Recent(carried + engineRate),
      done: 0,
    }
    this.#renew()
  }

  #take(samples: Float32Array): void {
    if (this.#stream === null) return
    this.#stream.nextFrame += samples.length
    this.#stream.recent.push(this.#stream.frontEnd.process(samples))
  }

  /** Makes a new recogniser, whose time zero is a sample that we know. */
  #renew(): void {
    this.#session?.recogniser.close()
    this.#session = null
    const [stream, listen] = [this.#stream, this.#listen]
    if (stream === null || listen === null) return
    const wanted = Math.max(
      stream.done,
      stream.recent.end - carried,
      this.#sampleAt(stream, listen.notBefore),
    )
    const start = Math.max(wanted, stream.recent.start)
    const recogniser = this.engine.listenFor(listen.phrases)
    this.#session = { listen, recogniser, start, next: start, text: '', since: start }
  }

  #catchUp(): void {
    for (;;) {
      const [stream, session] = [this.#stream, this.#session]
      if (stream === null || session === null || session.next + piece > stream.recent.end) return
      const outcome = session.recogniser.accept(stream.recent.slice(session.next, session.next + piece))
      session.next += piece
      if ('words' in outcome) this.#heard(stream, session, outcome.words, false)
      else this.#partial(stream, session, outcome.text)
    }
  }

  #partial(stream: Stream, session: Session, text: string): void {
    if (text !== session.text) Object.assign(session, { text, since: session.next })
    const { id, eager, hold } = session.listen
    this.tell({ kind: 'partial', id, until: this.#timeAt(stream, session.next), text })
    const held = session.next - session.since >= hold * engineRate
    if (held && eager.includes(withoutTalk(text)))
      this.#heard(stream, session, session.recogniser.finish(), true)
  }

  #heard(stream: Stream, session: Session, words: readonly Word[], eager: boolean): void {
    const last = words.at(-1)
    stream.done = last === undefined ? session.next : session.start + Math.round(last.end * engineRate)
    Object.assign(session, { text: '', since: session.next })
    const start = this.#timeAt(stream, session.start)
    this.tell({
      kind: 'heard',
      id: session.listen.id,
      until: this.#timeAt(stream, session.next),
      words: words.map((word) => ({ ...word, onset: start + word.onset, end: start + word.end })),
      eager,
    })
    if (eager || session.next - session.start > oldAge) this.#renew()
  }

  /** The context's time of one of the front end's samples. */
  #timeAt({ firstFrame, frontEnd }: Stream, sample: number): number {
    return firstFrame / this.sampleRate + frontEnd.timeOf(sample)
  }

  #sampleAt(stream: Stream, time: number): number {
    return Math.ceil((time - this.#timeAt(stream, 0)) * engineRate)
  }
}

/** What was said after some other talk. */
function withoutTalk(text: string): string {
  const words = text.split(' ')
  return words.slice(words.findIndex((word) => word !== unknownWord)).join(' ')
}
