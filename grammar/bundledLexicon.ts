import { parseLexicon, type Lexicon } from './lexicon.ts'

const files = import.meta.glob<string>('./*/*.dict', { query: '?raw', import: 'default' })

/** How a language's words are pronounced, from the app's bundle. */
export interface Pronunciations {
  /** the words of the grammars */
  lexicon: Lexicon
  /** further words that people say */
  otherWords: Lexicon
}

/** @throws Error when no such language was built in */
export async function bundledLexicon(code: string): Promise<Pronunciations> {
  const read = async (name: string): Promise<Lexicon> => {
    const path = `./${code}/${name}`
    const load = files[path]
    if (load === undefined) throw new Error(`no ${path} is built in`)
    return parseLexicon(await load(), path)
  }
  return { lexicon: await read('lexicon.dict'), otherWords: await read('otherWords.dict') }
}
