import { execFileSync, spawnSync } from 'node:child_process'
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { encodeWav } from '../../../audio-fixtures/wav.ts'
import type { Network } from '../../../grammar/jsgf/network.ts'
import { commandNetwork, type Language } from '../../../grammar/language.ts'
import { readLanguageFile } from '../../../grammar/readLanguage.ts'
import type { GrammarName } from '../../../src/messages/grammarName.ts'
import type { Word } from '../../../src/hearing/protocol.ts'
import type { Opened } from '../../harness/hearingPage/trials.ts'

/** The peer's model: Debian's pocketsphinx-en-us. */
const model = '/usr/share/pocketsphinx/model/en-us/en-us'

export interface PeerTrial {
  samples: Float32Array
  open: Opened
}

/** Whether pocketsphinx is on this machine. */
export function hasPeer(): boolean {
  return spawnSync('pocketsphinx_batch', [], { stdio: 'ignore' }).error === undefined
}

/**
 * The peer: pocketsphinx under the very same grammars, as a strict network of its own format, and with the same
 * pronunciations. It gets each recording whole and as it is.
 */
export function runPeer(language: Language, trials: readonly PeerTrial[]): { words: Word[][]; took: number } {
  const folder = mkdtempSync(join(tmpdir(), 'earshot-peer-'))
  try {
    const lexicon = readLanguageFile(language.code, 'lexicon.dict')
    writeFileSync(
      join(folder, 'lexicon.dict'),
      lexicon
        .split('\n')
        .filter((line) => line !== '' && !line.startsWith(';;'))
        .join('\n') + '\n',
    )
    for (const part of ['wav', 'fsg']) mkdirSync(join(folder, part))
    trials.forEach(({ samples, open }, at) => {
      writeFileSync(join(folder, 'wav', `${at}.wav`), encodeWav(samples))
      writeFileSync(join(folder, 'fsg', `${at}.fsg`), fsgOf(networkFor(language, open)))
    })
    writeFileSync(join(folder, 'list'), trials.map((_, at) => `${at}\n`).join(''))
    const begun = performance.now()
    execFileSync(
      'pocketsphinx_batch',
      [
        ...['-hmm', model, '-dict', join(folder, 'lexicon.dict'), '-ctl', join(folder, 'list')],
        ...['-adcin', 'yes', '-adchdr', '44', '-cepdir', join(folder, 'wav'), '-cepext', '.wav'],
        ...['-fsgctl', join(folder, 'list'), '-fsgdir', join(folder, 'fsg'), '-fsgext', '.fsg'],
        ...['-hyp', join(folder, 'hyp'), '-bestpath', 'no', '-logfn', join(folder, 'log')],
      ],
      { stdio: 'ignore' },
    )
    const took = (performance.now() - begun) / 1000
    const texts = new Map(
      readFileSync(join(folder, 'hyp'), 'utf8')
        .split('\n')
        .flatMap((line) => {
          const [, text = '', at = ''] = /^(.*) ?\((\d+) -?\d+\)$/.exec(line) ?? []
          return at === '' ? [] : [[Number(at), text.trim()] as const]
        }),
    )
    const words = trials.map((_, at) =>
      (texts.get(at) ?? '')
        .split(' ')
        .filter(Boolean)
        .map((word) => ({ word, onset: 0, end: 1, confidence: 1 })),
    )
    return { words, took }
  } finally {
    rmSync(folder, { recursive: true })
  }
}

function networkFor(language: Language, open: Opened): Network {
  if ('grammars' in open)
    return commandNetwork(language, [...new Set<GrammarName>(['stop', ...open.grammars])])
  const words = open.phrases.map((word) => ({ kind: 'word' as const, word, to: 1 }))
  return { start: 0, end: 1, arcs: [words, [{ kind: 'silent', to: 0, weight: 1 }]] }
}

/** Sphinx's finite state grammar, in its text form. Alternatives out of a state share its probability. */
function fsgOf({ start, end, arcs }: Network): string {
  const lines = arcs.flatMap((out, from) =>
    out.map(
      (arc) =>
        `TRANSITION ${from} ${arc.to} ${(1 / out.length).toFixed(6)} ${arc.kind === 'word' ? arc.word : ''}`,
    ),
  )
  return [
    'FSG_BEGIN earshot',
    `NUM_STATES ${arcs.length}`,
    `START_STATE ${start}`,
    `FINAL_STATE ${end}`,
    ...lines,
    'FSG_END',
    '',
  ].join('\n')
}
