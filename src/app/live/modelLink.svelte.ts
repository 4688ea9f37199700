import { bundledLanguage } from '../../../grammar/bundledLanguage.ts'
import { ModelError, tryModel, type EarState } from '../../hearing/index.ts'
import { chosenModel, keepModel, rollBackModel, type ChosenModel } from './chosenModel.ts'
import type { Companion } from '../companion.ts'

/** Which recognition model is listened with: by voice, by key and on the screen alike. */
export interface ModelLink {
  /** the user's own that is in use, `null` for the built-in one */
  readonly chosen: ChosenModel | null
  /**
   * Tries a model in an engine of its own beside the one in use, and uses it when it can be used.
   * @param onProgress told the share that has arrived, 0 to 1
   * @throws {ModelError} when it cannot be used, which is also said aloud; the model in use stays
   */
  choose(name: string, model: string | Blob, onProgress: (share: number) => void): Promise<void>
  useBuiltIn(): Promise<void>
  rollBack(): Promise<void>
  close(): void
}

/** How many of the words that a model lacks are read out; the screen has all. */
const readOut = 3

export function openModelLink(
  { bar, ear, say, warn }: Pick<Companion, 'bar' | 'ear' | 'say' | 'warn'>,
  language: string,
): ModelLink {
  let chosen = $state.raw<ChosenModel | null>(null)
  void chosenModel().then((model) => {
    chosen = model
    // it may have failed before anybody looked
    recover(ear.state)
  })

  async function use(model: ChosenModel | null) {
    chosen = model
    await ear.use(model?.archive ?? builtInModel(language))
    if (ear.state.kind !== 'listening') return
    say(model ? 'model.own' : 'model.built-in')
    const missing = model?.missing ?? []
    if (missing.length === 0) return
    const sentence = missing.length > readOut ? 'model.missing.more' : 'model.missing'
    say(sentence, { count: missing.length, words: missing.slice(0, readOut) })
  }

  async function rollBack() {
    await use(await rollBackModel())
  }
  async function useBuiltIn() {
    await keepModel(null)
    await use(null)
  }
  function refuse(error: unknown) {
    if (error instanceof ModelError) say(`model.refused.${error.problem}`)
    say('model.kept')
  }

  const asked = bar.on('model back', () => void rollBack().catch(refuse))
  // whoever works by ear alone is never left deaf by a model
  let isSecondFailure = false
  function recover(state: EarState) {
    if (state.kind === 'listening') isSecondFailure = false
    if (!chosen || state.kind !== 'failed') return
    if (state.reason !== 'model broken' && state.reason !== 'model missing') return
    warn('trouble.model-back')
    // the one before may be spoilt as well, and the store may refuse to change
    void (isSecondFailure ? useBuiltIn() : rollBack()).catch(() => use(null))
    isSecondFailure = true
  }
  const failed = ear.onState(recover)

  return {
    get chosen() {
      return chosen
    },
    async choose(name, model, onProgress) {
      try {
        const tried = await tryModel(model, await bundledLanguage(language), onProgress)
        const next = { name, ...tried }
        await keepModel(next)
        await use(next)
      } catch (error) {
        refuse(error)
        throw error
      }
    },
    useBuiltIn,
    rollBack,
    close() {
      asked.unsubscribe()
      failed()
    },
  }
}

/** Where the model that comes with the program lies. */
export const builtInModel = (language: string) => `model/${language}.tar.gz`
