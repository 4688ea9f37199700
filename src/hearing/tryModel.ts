import type { Language } from '../../grammar/language.ts'
import { fetchModel } from './fetchModel.ts'
import { missingWords } from './missingWords.ts'
import { ModelError } from './modelArchive.ts'
import { startRecogniser } from './recogniser.ts'
import { suppressorRate } from './suppressor.ts'
import { usualTuning } from './tuning.ts'

/** A model that the engine can listen with. */
export interface TriedModel {
  archive: Blob
  /** words of the grammars that it does not know */
  missing: readonly string[]
  /** what it says of its licence and origin; null when it says nothing */
  notice: string | null
}

/**
 * Fetches a Vosk model and loads it in an engine of its own, beside the one in use, to see whether it can be used.
 *
 * @param model a tar.gz or zip, or its address
 * @param onProgress told the share that has arrived, 0 to 1
 * @throws ModelError when it cannot be used
 */
export async function tryModel(
  model: string | Blob,
  language: Language,
  onProgress: (progress: number) => void,
): Promise<TriedModel> {
  const archive = new Blob([await fetchModel(model, onProgress)])
  return new Promise((resolve, reject) => {
    const trial = startRecogniser({
      model: archive,
      language: language.code,
      sampleRate: suppressorRate,
      tuning: usualTuning,
      tell(message) {
        if (message.kind === 'failed') reject(new ModelError(message.problem ?? 'unreadable', message.detail))
        if (message.kind !== 'opened') return
        trial.close()
        resolve({ archive, missing: missingWords(language, message.vocabulary), notice: message.notice })
      },
    })
  })
}
