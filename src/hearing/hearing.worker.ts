/** Hears in a thread of its own, so that a busy page delays nothing. Talks through a port: the engine's worker code answers on the worker itself. */
import kernel from 'virtual:kernel'
import { bundledLanguage } from '../../grammar/bundledLanguage.ts'
import { bundledLexicon } from '../../grammar/bundledLexicon.ts'
import { grammarNames } from '../messages/grammarName.ts'
import { createDecoder, sayablesOf } from './decoder/decoder.ts'
import { loadEngine } from './engine.ts'
import { Listener } from './listener.ts'
import { ModelError, unpackModel, type Model } from './modelArchive.ts'
import { fetchModel } from './fetchModel.ts'
import type { FromWorker, Listen, Sound, ToWorker } from './protocol.ts'
import type { Engine } from './recognition.ts'
import { createSuppressor } from './suppressor.ts'

addEventListener('message', ({ data }: MessageEvent<MessagePort | undefined>) => {
  if (data instanceof MessagePort) serve(data)
})

function serve(page: MessagePort): void {
  const tell = (message: FromWorker): void => page.postMessage(message)
  let listener: Listener | null = null
  /** arrived before the model did */
  let waiting: Listen | null = null

  const guarded = (work: () => void): void => {
    try {
      work()
    } catch (error) {
      // once the engine has thrown, its memory cannot be trusted
      listener = null
      tell({ kind: 'failed', reason: 'worker died', detail: String(error) })
    }
  }

  page.onmessage = ({ data }: MessageEvent<ToWorker>) => {
    switch (data.kind) {
      case 'open':
        void open(data, tell).then((opened) => {
          listener = opened
          if (listener !== null && waiting !== null) listener.listen(waiting)
        })
        return
      case 'source':
        data.port.onmessage = ({ data: sound }: MessageEvent<Sound>) => guarded(() => listener?.hear(sound))
        return
      case 'listen':
        if (listener === null) waiting = data
        else guarded(() => listener?.listen(data))
        return
      case 'ping':
        tell({ kind: 'pong', until: listener?.until ?? null })
    }
  }
}

async function open(
  { model, language, wasmUrl, sampleRate, tuning }: Extract<ToWorker, { kind: 'open' }>,
  tell: (message: FromWorker) => void,
): Promise<Listener | null> {
  try {
    const suppressor = await createSuppressor(tuning.dryShare)
    const archive = await fetchModel(model, (progress) => tell({ kind: 'loading', progress }))
    const unpacked = await unpackModel(archive)
    const { engine, vocabulary } =
      unpacked.units === null
        ? { engine: await loadEngine(unpacked, wasmUrl), vocabulary: unpacked.vocabulary }
        : await ownDecoder(unpacked, unpacked.units, language)
    tell({ kind: 'opened', vocabulary, notice: unpacked.notice })
    return new Listener(engine, suppressor, tuning, sampleRate, tell)
  } catch (error) {
    if (error instanceof ModelError) {
      const { problem, message } = error
      const isMissing = problem === 'missing' || problem === 'out of reach'
      tell({
        kind: 'failed',
        reason: isMissing ? 'model missing' : 'model broken',
        problem,
        detail: message,
      })
    } else tell({ kind: 'failed', reason: 'worker died', detail: String(error) })
    return null
  }
}

/** Our own decoder for a network of our own kind. What it can hear is what the language's lexicon holds. */
async function ownDecoder(
  { files }: Model,
  units: readonly string[],
  code: string,
): Promise<{ engine: Engine; vocabulary: ReadonlySet<string> }> {
  const language = await bundledLanguage(code)
  const { lexicon, otherWords } = await bundledLexicon(code)
  const spoken = grammarNames.filter((name) => language.grammars.includes(name))
  const finalModel = files.get('am/final.mdl') ?? new Uint8Array()
  const fbankConf = new TextDecoder().decode(files.get('conf/fbank.conf'))
  const sayables = sayablesOf(language, spoken)
  try {
    const engine = createDecoder({ finalModel, fbankConf, units, kernel, sayables, lexicon, otherWords })
    return { engine, vocabulary: new Set(lexicon.keys()) }
  } catch (error) {
    throw new ModelError('unreadable', 'the decoder cannot read the model', { cause: error })
  }
}
