import { parseLexicon } from '../lexicon.ts'
import { readDrills, readLanguage, readLanguageFile } from '../readLanguage.ts'
import { commandsOf } from './commands.ts'
import { checkConfusions } from './confusions.ts'
import { lackingBeside, lackingIn } from './folder.ts'
import { checkTags, checkUnsaid } from './meanings.ts'
import { checkSentences, type SentenceText } from './sentences.ts'
import { checkOtherWords, checkWords } from './words.ts'

/** What is wrong with a language, by what was checked. */
export type Problems = Readonly<Record<string, readonly string[]>>

/**
 * Checks everything about a language that needs no ear.
 * @param others codes of languages whose folders show what this one should have
 * @throws JsgfError, or an Error with file and line, when a file cannot be read at all
 */
export function checkLanguage(code: string, others: readonly string[]): Problems {
  const missing = [...new Set(others.flatMap((other) => lackingIn(code, other))), ...lackingBeside(code)]
  // without its files nothing else can be looked at
  if (missing.some((problem) => problem.endsWith('is missing'))) return { folder: missing }

  const language = readLanguage(code)
  const lexicon = parseLexicon(readLanguageFile(code, 'lexicon.dict'), `${code}/lexicon.dict`)
  const otherWords = parseLexicon(readLanguageFile(code, 'otherWords.dict'), `${code}/otherWords.dict`)
  const sentences = JSON.parse(readLanguageFile(code, 'sentences.json')) as Record<string, SentenceText>
  const drillSentences = Object.assign({}, ...readDrills(code).map((drill) => drill.sentences)) as Record<
    string,
    string
  >
  const { commands, misread } = commandsOf(language)
  return {
    folder: missing,
    words: checkWords(language, lexicon),
    otherWords: checkOtherWords(lexicon, otherWords),
    tags: checkTags(misread),
    unsaid: checkUnsaid(commands),
    confusions: checkConfusions(commands, lexicon, JSON.parse(readLanguageFile(code, 'accepted.json'))),
    sentences: checkSentences({ ...sentences, ...drillSentences }, commands, language),
  }
}
