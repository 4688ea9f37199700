import { readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { decodeOpus } from '../../../audio-fixtures/opus.ts'
import { sampleRate } from '../../../audio-fixtures/wav.ts'
import { parseGrammar } from '../../../grammar/jsgf/parse.ts'
import { parseLanguage } from '../../../grammar/language.ts'
import { parseLexicon, type Lexicon } from '../../../grammar/lexicon.ts'
import { readLanguageFile } from '../../../grammar/readLanguage.ts'
import { createDecoder, sayablesOf } from '../../../src/hearing/decoder/decoder.ts'
import { compileKernel } from '../../../src/hearing/decoder/kernel/compileKernel.ts'
import { unpackModel } from '../../../src/hearing/modelArchive.ts'
import { conditions, make, noises } from './conditions.ts'
import { rounded } from './report.ts'

/** Pronunciations of what the tool's own lexicon lacks: of Debian's package pocketsphinx-en-us. */
const dictionary = '/usr/share/pocketsphinx/model/en-us/cmudict-en-us.dict'

/**
 * Whole sentences of any set in the layout of the others, each the only thing that its grammar lets be said, through our own decoder
 * in Node: no browser and no noise suppression.
 *
 * @param list a TSV with a header, of path, speaker and transcript; paths count from its folder
 * @param grammarFile what the sentences may be, in JSGF
 * @param model the embedded model's archive
 */
export async function sentences(
  list: string,
  grammarFile: string,
  model: string,
  wanted: readonly string[],
  share: number,
): Promise<void> {
  const grammar = readFileSync(grammarFile, 'utf8')
  const { name } = parseGrammar(grammar, grammarFile)
  const language = parseLanguage('en', { [name]: grammar })
  const { files, units } = await unpackModel(new Uint8Array(readFileSync(model)))
  if (units === null) throw new Error(`${model} is not a model of our own kind`)
  const sayables = sayablesOf(language, [name])
  const words = new Set(
    sayables.flatMap(({ automaton }) => automaton.states.flatMap(({ arcs }) => arcs.map(({ word }) => word))),
  )
  const lexicon = pronunciationsOf(words)
  const engine = createDecoder({
    finalModel: files.get('am/final.mdl') ?? new Uint8Array(),
    fbankConf: new TextDecoder().decode(files.get('conf/fbank.conf')),
    units,
    kernel: await compileKernel(),
    sayables,
    lexicon,
    otherWords: parseLexicon(readLanguageFile('en', 'otherWords.dict'), 'otherWords.dict'),
  })
  const rows = readFileSync(list, 'utf8')
    .trim()
    .split('\n')
    .slice(1)
    .map((line) => line.split('\t'))
    .filter((_, at) => Math.floor((at + 1) * share) > Math.floor(at * share))
  const choice = await noises(dirname(list))
  const piece = sampleRate / 20

  for (const condition of conditions.filter((one) => wanted.includes(one.name))) {
    const bySpeaker = new Map<string, { all: number; right: number }>()
    let [seconds, cpu] = [0, 0]
    for (const [at, [path = '', speaker = '', text = '']] of rows.entries()) {
      const sound = await decodeOpus(new Uint8Array(readFileSync(join(dirname(list), path))))
      const { samples } = await make(sound, condition, choice, at)
      const before = process.cpuUsage().user
      const recogniser = engine.listenFor([])
      // the sentence is the whole recording: a pause in it does not end it
      for (let from = 0; from < samples.length; from += piece)
        recogniser.accept(samples.slice(from, from + piece))
      const heard = recogniser.finish()[0]?.words.map(({ word }) => word) ?? []
      cpu += (process.cpuUsage().user - before) / 1e6
      seconds += samples.length / sampleRate
      const one = bySpeaker.get(speaker) ?? { all: 0, right: 0 }
      bySpeaker.set(speaker, { all: one.all + 1, right: one.right + (heard.join(' ') === text ? 1 : 0) })
    }
    const groups = [...bySpeaker.values()]
    const all = groups.reduce((sum, one) => sum + one.all, 0)
    const right = groups.reduce((sum, one) => sum + one.right, 0)
    console.log(
      JSON.stringify({
        set: list,
        condition: condition.name,
        sentences: all,
        speakers: groups.length,
        right: rounded(right / all, 3),
        interval: wilson(right, all).map((bound) => rounded(bound, 3)),
        worstSpeaker: rounded(Math.min(...groups.map((one) => one.right / one.all)), 3),
        cpu: rounded(cpu / seconds, 3),
      }),
    )
  }
}

/** @throws Error for a word that neither the tool's lexicon nor the dictionary has */
function pronunciationsOf(words: ReadonlySet<string>): Lexicon {
  const own = parseLexicon(readLanguageFile('en', 'lexicon.dict'), 'lexicon.dict')
  const lines = readFileSync(dictionary, 'utf8').split('\n')
  const wanted = lines.filter((line) => words.has((line.split(/\s/)[0] ?? '').replace(/\(\d+\)$/, '')))
  const lexicon = new Map([...parseLexicon(wanted.join('\n'), dictionary), ...own])
  const missing = [...words].filter((word) => !lexicon.has(word))
  if (missing.length > 0) throw new Error(`no pronunciation of ${missing.join(', ')}`)
  return lexicon
}

/** The 95 % interval of a share (Wilson, 1927). */
function wilson(right: number, all: number): [number, number] {
  const z = 1.96
  const share = right / all
  const centre = (share + z ** 2 / (2 * all)) / (1 + z ** 2 / all)
  const half = (z / (1 + z ** 2 / all)) * Math.sqrt((share * (1 - share)) / all + z ** 2 / (4 * all ** 2))
  return [centre - half, centre + half]
}
