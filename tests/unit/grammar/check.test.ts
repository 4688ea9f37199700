import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { commandsOf, type SpokenCommand } from '../../../grammar/check/commands.ts'
import { soundingAlike, beginningOthers } from '../../../grammar/check/confusable.ts'
import { checkConfusions } from '../../../grammar/check/confusions.ts'
import { lackingBeside, lackingIn } from '../../../grammar/check/folder.ts'
import { checkLanguage } from '../../../grammar/check/language.ts'
import { checkTags, checkUnsaid } from '../../../grammar/check/meanings.ts'
import { openSets } from '../../../grammar/check/openTogether.ts'
import { phoneDistance, pronunciationsOf, shortened } from '../../../grammar/check/pronounce.ts'
import { checkSentences } from '../../../grammar/check/sentences.ts'
import { checkOtherWords, checkWords } from '../../../grammar/check/words.ts'
import { parseLanguage } from '../../../grammar/language.ts'
import { parseLexicon } from '../../../grammar/lexicon.ts'
import { languageCodes, readDrills, readLanguage, readLanguageFile } from '../../../grammar/readLanguage.ts'
import { drillGrammars, mayBeSaid } from '../../../src/bar/index.ts'

const english = readLanguage('en')
const englishLexicon = parseLexicon(readLanguageFile('en', 'lexicon.dict'), 'lexicon.dict')
const { commands: englishCommands } = commandsOf(english)

/** A language with a name, digits and these grammars. */
function language(grammars: Record<string, string>) {
  return parseLanguage('xx', {
    name: '#JSGF V1.0;grammar name;public <name> = you;',
    number: '#JSGF V1.0;grammar number;public <number> = one {+1} | two {+2};',
    ...Object.fromEntries(
      Object.entries(grammars).map(([name, body]) => [name, `#JSGF V1.0;grammar ${name};${body}`]),
    ),
  })
}

describe.each(languageCodes())('the language %s', (code) => {
  it('has nothing wrong with it', () => {
    const others = languageCodes().filter((other) => other !== code)
    expect(Object.values(checkLanguage(code, others)).flat()).toEqual([])
  })
})

describe('the sets of grammars that are open together', () => {
  const places = ['closed', 'grind', 'dose', 'tamp', 'ready', 'pouring', 'judge', 'adjust'] as const

  it.each(places)('hold all that the bar opens in %s', (place) => {
    for (const listening of ['on', 'paused', 'lost'] as const) {
      for (const asking of ['nothing', 'confirming', 'learning'] as const) {
        const open = mayBeSaid({ place, listening, asking, waiting: 2 })
        expect(
          openSets.some((set) => open.every((name) => set.includes(name))),
          open.join(', '),
        ).toBe(true)
      }
    }
  })
})

describe('the sets of grammars that drills open', () => {
  it.each(readDrills('en').map(({ drill }) => [drill.id, drill] as const))(
    'are among them: %s',
    (_, drill) => {
      drill.steps.forEach((_step, step) => {
        const snapshot = { value: 'doing', context: { drill, step } } as unknown as Parameters<
          typeof drillGrammars
        >[0]
        for (const asking of ['nothing', 'confirming'] as const) {
          const situation = { place: 'grind', listening: 'on', asking, waiting: 1 } as const
          const open = mayBeSaid({ ...situation, drill: drillGrammars(snapshot) })
          expect(
            openSets.some((set) => open.every((name) => set.includes(name))),
            open.join(', '),
          ).toBe(true)
        }
      })
    },
  )
})

describe('the checker of words', () => {
  it('finds words without pronunciation and pronunciations without use', () => {
    const found = checkWords(
      language({ stop: 'public <stop> = halt {stop pour};' }),
      parseLexicon('you Y UW\nmilk M IH L K', 'x'),
    )
    expect(found).toEqual(['"halt" has no pronunciation', '"milk" is pronounced but in no grammar'])
  })
})

describe('the checker of other words', () => {
  it("finds those that are a command's, and those that sound like one", () => {
    const commands = parseLexicon('two T UW\nmilk M IH L K', 'x')
    expect(checkOtherWords(commands, parseLexicon('milk M EH L K\ntoo T UW\nsilk S IH L K', 'y'))).toEqual([
      '"milk" is a word of the grammars',
      '"too" sounds like "two" of the grammars',
    ])
  })
})

describe('the checker of tags', () => {
  it('finds tags that make no command', () => {
    const { misread } = commandsOf(
      language({ dose: 'import <number.number>; public <dose> = dose {dose} <number>;' }),
    )
    expect(checkTags(misread)).toEqual([expect.stringMatching(/^dose: "dose #": dose: "amount"/)])
  })

  it('finds what cannot be said', () => {
    const { commands } = commandsOf(language({ talk: 'public <look> = looks pale {look, look=pale};' }))
    const unsaid = checkUnsaid(commands)
    expect(unsaid).toContain('"start pour" cannot be said')
    expect(unsaid).toContain('"look gushing" cannot be said')
    expect(unsaid).not.toContain('"look" cannot be said')
    expect(unsaid).not.toContain('"look pale" cannot be said')
  })
})

describe('the distance between pronunciations', () => {
  // "kitten" and "sitting" are three apart: the usual worked example of the edit distance, letters for phones
  it.each([
    ['k i t t e n', 's i t t i n g', 3],
    ['a b', 'a b', 0],
    ['a b', 'b', 1],
    ['', 'a b', 2],
  ])('%s | %s', (one, two, distance) => {
    const phones = (text: string) => text.split(' ').filter(Boolean)
    expect(phoneDistance(phones(one), phones(two))).toBe(distance)
    expect(phoneDistance(phones(two), phones(one))).toBe(distance)
  })

  it('is found by leaving phones out: what is no further apart than that has a remainder in common', () => {
    const [one, two] = [shortened(['S', 'T', 'AA', 'P'], 1), shortened(['S', 'T', 'AA', 'T'], 1)]
    expect([...one].filter((rest) => two.has(rest))).toEqual(['S T AA'])
  })

  it('takes every pronunciation of every word', () => {
    const lexicon = parseLexicon('the DH AH\nthe(2) DH IY\nwater W AO T ER\nwater(2) W AA T ER', 'x')
    expect(pronunciationsOf(['the', 'water'], lexicon)).toHaveLength(4)
  })
})

describe('the checker of confusions', () => {
  const lexicon = parseLexicon(
    'louder L AW D ER\npowder P AW D ER\nstop S T AA P\nit IH T\ndrill D R IH L\nstopper S T AA P ER',
    'x',
  )
  const confusions = (grammars: Record<string, string>, accepted: unknown = []) =>
    checkConfusions(commandsOf(language(grammars)).commands, lexicon, accepted)
  const louder = { talk: 'public <a> = louder {why};', handoff: 'public <a> = powder {help};' }

  it('finds commands that sound alike', () => {
    expect(confusions(louder)).toEqual(['"louder" and "powder" are 1 phone apart (talk, handoff)'])
  })

  it('does not mind when they mean the same or are never open together', () => {
    expect(confusions({ ...louder, handoff: 'public <a> = powder {why};' })).toEqual([])
    expect(
      confusions({ paused: 'public <a> = louder {why};', handoff: 'public <a> = powder {help};' }),
    ).toEqual([])
  })

  it('takes what is accepted with a reason, as long as it is needed', () => {
    expect(confusions(louder, [{ one: 'powder', two: 'louder', why: 'a test' }])).toEqual([])
    expect(confusions(louder, [{ one: 'powder', two: 'stop', why: 'a test' }])).toContain(
      'accepted.json: "powder" and "stop" cannot be confused',
    )
  })

  it('finds a command that is the beginning of another, by its words', () => {
    expect(confusions({ talk: 'public <a> = louder {why} | louder drill {help};' })).toEqual([
      '"louder" is the beginning of "louder drill" (talk)',
    ])
  })

  it('finds a stop-class command that sounds like the beginning of another', () => {
    expect(
      confusions({ stop: 'public <a> = stop {stop pour};', talk: 'public <a> = stopper it {why};' }),
    ).toEqual(['"stop" is the beginning of "stopper it" (stop, talk)'])
  })

  it('finds words that mean two things', () => {
    expect(confusions({ stop: 'public <a> = it {stop pour};', talk: 'public <a> = it {why};' })).toContain(
      '"it" and "it" are the same sounds (stop, talk)',
    )
  })

  it('misses no pair of English commands that a plain comparison finds', () => {
    const some = englishCommands.filter(({ grammar }) => ['stop', 'talk', 'ready', 'judge'].includes(grammar))
    const found = new Set(soundingAlike(some, englishLexicon, 2).map(({ one, two }) => `${one}|${two}`))
    const plain = new Set<string>()
    some.forEach((one, index) => {
      for (const two of some.slice(index + 1))
        if (distance(one, two) <= 2) plain.add(`${one.words.join(' ')}|${two.words.join(' ')}`)
    })
    expect(found).toEqual(plain)
    expect(beginningOthers(some, englishLexicon)).toEqual([])
  })

  function distance(one: SpokenCommand, two: SpokenCommand): number {
    if (JSON.stringify(one.meaning) === JSON.stringify(two.meaning)) return Infinity
    const [a, b] = [one, two].map(({ words }) => pronunciationsOf(words, englishLexicon))
    return Math.min(...(a ?? []).flatMap((way) => (b ?? []).map((other) => phoneDistance(way, other))))
  }
})

describe('the checker of sentences', () => {
  const problems = (sentences: Record<string, string | { long: string; short: string }>) =>
    checkSentences(sentences, englishCommands, english)

  it.each([
    ['Please stop now.', 'stop'],
    ['Hush, or be quiet.', 'hush'],
    ['It is better to leave it.', 'leave it'],
    ['Go two and a half notches finer.', '# notches finer'],
    ['That was a dose of {amount} grams.', '# grams'],
    ['Throw it out?', 'throw it out'],
  ])('finds a command in "%s"', (text, command) => {
    expect(problems({ a: text })).toContain(`a: "${command}" is a command`)
    expect(problems({ a: { long: 'Fine.', short: text } })).toContain(`a: "${command}" is a command`)
  })

  it.each(['Next.', 'The next one.', 'It stops. The pour was good.', 'Leave. It is good.', 'Nonstop.'])(
    'lets "%s" be',
    (text) => {
      expect(problems({ a: text })).toEqual([])
    },
  )

  it('lets sentences teach what can be said', () => {
    expect(problems({ 'help.pouring': 'You can say. Stop.' })).toEqual([])
  })
})

describe('the checker of folders', () => {
  it('lists what a new language lacks', () => {
    const missing = lackingIn('xx', 'en')
    expect(missing).toContain('talk.jsgf is missing')
    expect(missing).toContain('lexicon.dict is missing')
    expect(lackingIn('en', 'en')).toEqual([])
    expect(lackingBeside('en')).toEqual([])
  })

  it('lists what a half-made one lacks: files, texts, gaps in texts, model, voice and name', () => {
    const home = `${mkdtempSync(join(tmpdir(), 'earshot-language-'))}/`
    try {
      for (const code of ['en', 'xx'])
        cpSync(new URL('../../../grammar/en', import.meta.url), home + code, { recursive: true })
      const drill = readdirSync(`${home}xx/drills`).sort()[0]
      for (const file of ['talk.jsgf', `drills/${drill}`]) rmSync(`${home}xx/${file}`)
      const change = (file: string, into: (texts: Record<string, unknown>) => unknown) => {
        const path = `${home}xx/${file}`
        writeFileSync(path, JSON.stringify(into(JSON.parse(readFileSync(path, 'utf8')))))
      }
      change('screen.json', ({ title: _title, ...rest }) => rest)
      change('sentences.json', (texts) => ({ ...texts, 'talk.last-time': 'Lange.', 'help.dose': 'Weiter.' }))
      expect([...lackingIn('xx', 'en', home), ...lackingBeside('xx', home)]).toEqual([
        `drills/${drill} is missing`,
        'screen.json lacks "title"',
        'sentences.json: "talk.last-time" lacks {seconds}',
        'talk.jsgf is missing',
        'public/model/xx.tar.gz, the recognition model, is missing',
        'grammar/voices.json names no voice that speaks "xx"',
        'screen.json lacks "language.xx"',
      ])
    } finally {
      rmSync(home, { recursive: true })
    }
  })
})
