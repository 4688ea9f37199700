/**
 * The part of the engine's worker that `engine.ts` builds on. The package types only its page side.
 */
declare module '@lichess-org/vosk-browser/dist/vosk.worker.js' {
  export interface VoskRecognizer {
    SetWords(on: boolean): void
    /** true at the end of an utterance: then ask for Result, else for PartialResult */
    AcceptWaveform(address: number, samples: number): boolean
    Result(): string
    PartialResult(): string
    FinalResult(): string
    delete(): void
  }

  export interface VoskModule {
    HEAPF32: Float32Array
    _malloc(bytes: number): number
    _free(address: number): void
    FS: { mkdirTree(path: string): void; writeFile(path: string, data: Uint8Array): void }
    Recognizer: new (model: unknown, sampleRate: number, grammar: string) => VoskRecognizer
    syncFilesystem(fromPersistent: boolean): Promise<void>
    downloadAndExtract(url: string, path: string): Promise<void>
  }

  export class RecognizerWorker {
    get module(): VoskModule
    set module(module: VoskModule)
    model: unknown
    logger: { setLogLevel(level: number): void }
    load(modelUrl: string, wasmUrl: string): Promise<boolean>
  }
}
