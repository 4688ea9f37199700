import { parseLexicon } from '../../../../grammar/lexicon.ts'
import { readLanguage, readLanguageFile } from '../../../../grammar/readLanguage.ts'
import { createDecoder, sayablesOf } from '../../../../src/hearing/decoder/decoder.ts'
import { compileKernel } from '../../../../src/hearing/decoder/kernel/compileKernel.ts'
import type { Model } from '../../../../src/hearing/modelArchive.ts'
import type { Engine } from '../../../../src/hearing/recognition.ts'
import { grammarNames } from '../../../../src/messages/grammarName.ts'

/** Our own decoder for the embedded model, as the page's worker sets it up, in Node. */
export async function ownDecoder({ files, units }: Model): Promise<Engine> {
  const lexicon = (name: string) => parseLexicon(readLanguageFile('en', name), name)
  if (units === null) throw new Error('the embedded model says nothing of its units')
  return createDecoder({
    finalModel: files.get('am/final.mdl') ?? new Uint8Array(),
    fbankConf: new TextDecoder().decode(files.get('conf/fbank.conf')),
    units,
    kernel: await compileKernel(),
    sayables: sayablesOf(readLanguage('en'), grammarNames),
    lexicon: lexicon('lexicon.dict'),
    otherWords: lexicon('otherWords.dict'),
  })
}
