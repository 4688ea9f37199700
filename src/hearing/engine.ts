import {
  RecognizerWorker,
  type VoskModule,
  type VoskRecognizer,
} from '@lichess-org/vosk-browser/dist/vosk.worker.js'
import { engineRate } from './engineRate.ts'
import { ModelError, type Model } from './modelArchive.ts'
import { hypothesisOf, type Hypothesis } from './readings.ts'
import type { Engine, Recogniser } from './recognition.ts'

/** Seconds a frame lasts in the engine's hard-coded belief. */
const believedFrame = 0.03

/**
 * The engine's own worker code, kept from its storage: it would keep every model it ever loaded, broken ones too,
 * in one database that is read as a whole at each start, and never look whether an address has new content. Models
 * come unpacked and checked from `modelArchive.ts` instead.
 */
class Loader extends RecognizerWorker {
  #module: VoskModule | null = null

  constructor(private readonly files: Model['files']) {
    super()
    // errors only: a warning for each word that the model lacks costs more than the rest of making a recogniser
    this.logger.setLogLevel(-2)
  }

  /** whether the engine itself is there, with or without a model */
  get isReady(): boolean {
    return this.#module !== null
  }

  override get module(): VoskModule {
    if (this.#module === null) throw new Error('the engine is not loaded')
    return this.#module
  }

  override set module(module: VoskModule) {
    this.#module = module
    module.syncFilesystem = async () => {}
    module.downloadAndExtract = async (_url, path) => {
      for (const [name, data] of this.files) {
        const file = `${path}/${name}`
        module.FS.mkdirTree(file.slice(0, file.lastIndexOf('/')))
        module.FS.writeFile(file, data)
      }
    }
  }
}

/**
 * Loads the engine with a model. A worker can do it once.
 *
 * @throws ModelError when the engine cannot read the model
 */
export async function loadEngine(model: Model, wasmUrl: string): Promise<Engine> {
  const loader = new Loader(model.files)
  try {
    await loader.load('model', wasmUrl)
  } catch (error) {
    if (!loader.isReady) throw new Error('the engine did not load', { cause: error })
    // the engine throws bare WebAssembly exceptions without a message
    throw new ModelError('unreadable', 'the engine cannot read the model', { cause: error })
  }
  return {
    hearsAll: false,
    listenFor: (phrases) => new VoskListener(loader, phrases, model.frame / believedFrame),
  }
}

class VoskListener implements Recogniser {
  readonly #module: VoskModule
  readonly #recogniser: VoskRecognizer
  #address = 0
  #room = 0

  constructor(
    { module, model }: Loader,
    phrases: readonly string[],
    private readonly timeScale: number,
  ) {
    this.#module = module
    this.#recogniser = new module.Recognizer(model, engineRate, JSON.stringify(phrases))
    this.#recogniser.SetWords(true)
  }

  accept(samples: Float32Array): { hypotheses: Hypothesis[] } | { text: string } {
    this.#makeRoom(samples.length)
    const { HEAPF32 } = this.#module
    const first = this.#address / HEAPF32.BYTES_PER_ELEMENT
    for (let i = 0; i < samples.length; i++) HEAPF32[first + i] = (samples[i] as number) * 0x8000
    if (this.#recogniser.AcceptWaveform(this.#address, samples.length)) {
      return { hypotheses: this.#hypotheses(this.#recogniser.Result()) }
    }
    const { partial } = JSON.parse(this.#recogniser.PartialResult()) as { partial: string }
    return { text: partial }
  }

  finish(): Hypothesis[] {
    return this.#hypotheses(this.#recogniser.FinalResult())
  }

  close(): void {
    if (this.#address !== 0) this.#module._free(this.#address)
    this.#recogniser.delete()
  }

  #hypotheses(json: string): Hypothesis[] {
    const { result = [] } = JSON.parse(json) as {
      result?: { word: string; start: number; end: number; conf: number }[]
    }
    const words = result.map(({ word, start, end, conf }) => ({
      word,
      onset: start * this.timeScale,
      end: end * this.timeScale,
      confidence: conf,
    }))
    return words.length === 0 ? [] : [hypothesisOf(words)]
  }

  #makeRoom(samples: number): void {
    if (samples <= this.#room) return
    if (this.#address !== 0) this.#module._free(this.#address)
    this.#address = this.#module._malloc(samples * Float32Array.BYTES_PER_ELEMENT)
    this.#room = samples
  }
}
