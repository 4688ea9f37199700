import { describe, expect, it } from 'vitest'
import { parseLanguage } from '../../../../grammar/language.ts'
import type { Lexicon } from '../../../../grammar/lexicon.ts'
import { commandGraph } from '../../../../src/hearing/decoder/commandGraph.ts'
import { sayablesOf } from '../../../../src/hearing/decoder/decoder.ts'
import { createSearch } from '../../../../src/hearing/decoder/search.ts'
import { talkModel } from '../../../../src/hearing/decoder/talkModel.ts'

const phones = ['SIL', 'G', 'OW', 'N', 'Y', 'EH', 'S']
const lexicon: Lexicon = new Map([
  ['go', [['G', 'OW']]],
  ['no', [['N', 'OW']]],
  ['yes', [['Y', 'EH', 'S']]],
])
const language = parseLanguage('en', {
  stop: '#JSGF V1.0;\ngrammar stop;\npublic <a> = go [yes];\npublic <b> = no | yes yes;\n',
})

/** Scores for one phone a frame, `SIL SIL G OW OW`: 4 for the phone that is said, 0 for the others. */
function scores(said: string): Float32Array {
  const heard = said.split(' ')
  return Float32Array.from(
    heard.flatMap((phone, frame) =>
      phones.flatMap((name) => {
        const begins = name === phone && heard[frame - 1] !== phone
        return [begins ? 4 : 0, name === phone && !begins ? 4 : 0]
      }),
    ),
  )
}

const graph = commandGraph(sayablesOf(language, ['stop']), lexicon, phones, 0)
const talk = talkModel(lexicon, phones, { word: 3, unknown: 3, phone: 0 })

function hear(said: string, afterTalk = 2) {
  const search = createSearch(graph, talk, { beam: 100, width: 3, afterTalk })
  search.push(scores(said))
  return search.readings()
}

describe('the search', () => {
  it('finds the sentence, when each word began and ended, and how much likelier it is than talk', () => {
    const [best] = hear('SIL SIL G OW OW OW SIL Y EH EH S SIL SIL')
    expect(best).toMatchObject({
      words: [
        { word: 'go', onset: 2, end: 6 },
        { word: 'yes', onset: 7, end: 11 },
      ],
      silenceAfter: 2,
      isAfterTalk: false,
      mayGoOn: false,
      score: 13 * 4,
    })
    // talk says the same two words at 3 each
    expect(best?.overTalk).toBeCloseTo(6, 5)
  })

  it('gives other sentences after the best', () => {
    const texts = hear('G OW OW').map(({ words }) => words.map(({ word }) => word).join(' '))
    expect(texts.slice(0, 2)).toEqual(['go', 'no'])
  })

  it('allows whole sentences only', () => {
    expect(hear('Y EH S')[0]?.overTalk).toBeLessThan(0)
    expect(hear('Y EH S Y EH S')[0]?.words.map(({ word }) => word)).toEqual(['yes', 'yes'])
  })

  it('finds a sentence after talk, and says that there was talk', () => {
    const [best] = hear('N OW Y EH S G OW')
    expect(best).toMatchObject({ isAfterTalk: true, words: [{ word: 'go', onset: 5, end: 7 }] })
  })
})
