import { execFileSync, spawnSync } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { encodeWav } from '../../audio-fixtures/wav.ts'
import { readLanguage } from '../../src/speaking/render/readLanguage.ts'
import { numberPhrases } from '../../src/speaking/numberWords.ts'
import type { Heard } from './heardAtLoudspeaker.ts'

const recogniser = 'pocketsphinx_batch'
const model = '/usr/share/pocketsphinx/model/en-us'

/** Words that the recogniser's dictionary, the CMU Pronouncing Dictionary, has not. */
const moreWords = `
calibrating K AE L AH B R EY T IH NG
crema K R EH M AH
portafilter P AO R T AH F IH L T ER
burrs B ER Z
ristretto R IH S T R EH T OW
binned B IH N D
localhost L OW K AH L HH OW S T
channelled CH AE N AH L D
https EY CH T IY T IY P IY EH S
`

const language = readLanguage('en')

export const howToInstallTranscriber =
  'the sound is not transcribed: no pocketsphinx (apt-get install pocketsphinx pocketsphinx-en-us)'

/** Whether the recogniser and its model of English are installed. */
export function canTranscribe(): boolean {
  return existsSync(model) && spawnSync(recogniser, [], { stdio: 'ignore' }).error === undefined
}

/** The words of a sentence as they are spoken: lower case, numbers in words, no stops. */
export function spokenWords(text: string): string {
  const inWords = text.replaceAll(/\d+(\.\d+)?/g, (number) =>
    numberPhrases(language.numbers, Number(number)).join(' '),
  )
  return (inWords.toLowerCase().match(/[a-z']+/g) ?? []).join(' ')
}

/** Everything that the tool can say: each sentence a rival of each other, and each number of every other. */
function everySentence(said: readonly string[]): string {
  const alternatives = (texts: readonly string[]) =>
    [...new Set(texts.filter((text) => text !== '').map((text) => `(${text})`))].join('\n  | ')
  const fixed = Object.values(language.sentences)
    .flatMap((text) => (typeof text === 'string' ? [text] : [text.long, text.short]))
    .map((text) => spokenWords(text.replaceAll(/\{[^{}]*\}/g, '12')))
  const numbered = said
    .filter((text) => /\d/.test(text))
    .map((text) =>
      text
        .split(/\d+(?:\.\d+)?/)
        .map(spokenWords)
        .join(' <number> ')
        .trim(),
    )
  const word = (key: string) => language.numbers[key] ?? ''
  const upTo = (most: number) => Array.from({ length: most + 1 }, (_, number) => word(String(number)))
  return `#JSGF V1.0;
grammar sentences;
<digit> = ${alternatives(upTo(9))};
<number> = (${alternatives(upTo(99))}) [point <digit>];
public <said> = ${alternatives([...fixed, ...numbered, ...said.map(spokenWords)])};
`
}

/**
 * What an independent recogniser makes of sounds. It has never heard the tool's voices; all it knows of the tool is
 * the list of every sentence it can say.
 *
 * @param heard sounds (mono, 16 kHz, -1..1), and what was said in them: of its numbers any other is a rival
 * @returns of each the words it takes it for, empty when for none
 */
export function transcribe(heard: readonly Heard[]): string[] {
  const folder = mkdtempSync(join(tmpdir(), 'earshot-ear-'))
  const at = (name: string) => join(folder, name)
  try {
    const names = heard.map((_, index) => String(index))
    for (const [index, { samples }] of heard.entries()) writeFileSync(at(`${index}.wav`), encodeWav(samples))
    writeFileSync(at('names'), names.join('\n'))
    writeFileSync(at('sentences.jsgf'), everySentence(heard.map(({ text }) => text)))
    writeFileSync(
      at('words.dict'),
      readFileSync(`${model}/cmudict-en-us.dict`, 'utf8') + moreWords.trimStart(),
    )
    execFileSync(
      recogniser,
      [
        ...['-hmm', `${model}/en-us`, '-dict', at('words.dict'), '-jsgf', at('sentences.jsgf')],
        ...['-adcin', 'yes', '-adchdr', '44', '-cepdir', folder, '-cepext', '.wav', '-ctl', at('names')],
        // sentences of one word are kept in the running by wide beams, and count as much as long ones
        ...['-beam', '1e-120', '-pbeam', '1e-120', '-wbeam', '1e-100', '-lw', '1'],
        ...['-hyp', at('understood'), '-logfn', at('log')],
      ],
      { stdio: 'ignore' },
    )
    // a line is "words (name score)"
    const understood = new Map(
      readFileSync(at('understood'), 'utf8')
        .split('\n')
        .flatMap((line) => {
          const [, words, name] = /^(.*?) ?\((\S+) -?\d+\)$/.exec(line) ?? []
          return name === undefined ? [] : [[name, words ?? '']]
        }),
    )
    return names.map((name) => understood.get(name) ?? '')
  } finally {
    rmSync(folder, { recursive: true })
  }
}
