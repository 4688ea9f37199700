import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { parseLexicon } from '../../../grammar/lexicon.ts'
import { assembleLanguage } from '../assembleLanguage.ts'
import type { RecordedLanguage } from '../wording.ts'
import type { Respellings } from './renderVoice.ts'

const folderOf = (name: string) => join(import.meta.dirname, '../../../grammar', name)

const readJson = (path: string): unknown => JSON.parse(readFileSync(path, 'utf8'))

/** Reads what a language says from its folder, outside a browser. */
export function readLanguage(name: string): RecordedLanguage {
  const folder = folderOf(name)
  const drills = readdirSync(join(folder, 'drills')).map((file) => `drills/${file}`)
  const files = ['sentences.json', 'numbers.json', ...drills].map((file) => [
    file,
    readJson(join(folder, file)),
  ])
  const lexicon = parseLexicon(readFileSync(join(folder, 'lexicon.dict'), 'utf8'), `${name}/lexicon.dict`)
  return { ...assembleLanguage(name, Object.fromEntries(files)), vocabulary: [...lexicon.keys()] }
}

/** Reads the words that the synthesiser has to be given in another spelling. */
export function readRespellings(name: string): Respellings {
  return readJson(join(folderOf(name), 'respellings.json')) as Respellings
}
