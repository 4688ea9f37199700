import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import screen from '../../../grammar/en/screen.json' with { type: 'json' }
import sentences from '../../../grammar/en/sentences.json' with { type: 'json' }
import { readLanguage } from '../../../grammar/readLanguage.ts'
import { understanding, type Understand } from '../../../grammar/understand.ts'
import { controls, sayingOf } from '../../../src/app/controls/controls.ts'
import { mayBeSaid, type Place, places, type Situation } from '../../../src/bar/index.ts'
import { grammarNames, type GrammarName } from '../../../src/messages/grammarName.ts'

/** What is taught must be understood where it is taught. */
const english = readLanguage('en')
const understands = new Map<string, Understand>()

function isSayable(phrase: string, open: readonly GrammarName[]): boolean {
  const understand = understands.get(open.join()) ?? understanding(english, open)
  understands.set(open.join(), understand)
  return understand(phrase.toLowerCase().match(/[a-z']+/g) ?? []).kind === 'command'
}
const unsayable = (phrases: readonly string[], open: readonly GrammarName[]) =>
  phrases.filter((phrase) => !isSayable(phrase, open))

const calm: Situation = { place: 'grind', listening: 'on', asking: 'nothing', waiting: 0 }
const openIn = (situation: Partial<Situation>) => mayBeSaid({ ...calm, ...situation })
const textOf = (key: keyof typeof sentences): string[] => {
  const text: string | { long: string; short: string } = sentences[key]
  return typeof text === 'string' ? [text] : [text.long, text.short]
}

describe('what the help says', () => {
  const whereHelpIs: Readonly<Record<string, readonly GrammarName[]>> = {
    ...Object.fromEntries(places.map((place) => [`help.${place}`, openIn({ place, waiting: 1 })])),
    'help.drill': openIn({ drill: ['drill'] }),
    'help.paused': openIn({ listening: 'paused' }),
    'help.confirm': openIn({ asking: 'confirming' }),
    'help.settings': openIn({ asking: 'setting' }),
    'greeting.first': openIn({ place: 'closed' }),
    'talk.paused': openIn({ listening: 'paused' }),
  }

  /** Clauses that do not stand for themselves: what they mean, in full. An empty list is no command. */
  const inFull: Readonly<Record<string, readonly string[]>> = {
    'you can say': [],
    'i take {opens} to {closes} seconds for the window': [],
    'if this house works with another': [],
    'say so': [],
    window: ['window twenty five to thirty two'],
    'and both numbers': [],
    'at any time': [],
    'triple or house': ['recipe triple', 'recipe house'],
    'coffee and a number': ['coffee two', 'coffee number twelve'],
    'grinder and a number': ['grinder one'],
    'drill and a number': ['drill four'],
    'when it is ground': [],
    'or coarser': ['one notch coarser'],
    'with any number': ['two notches finer', 'half a notch coarser', 'two and a half notches finer'],
    'notch and a number': ['notch twelve', 'set to notch four point five'],
    recipe: ['recipe double'],
    coffee: ['coffee two'],
    grinder: ['grinder one'],
    'or dose and the grams': ['dose eighteen', 'dose eighteen point two grams'],
    'as you press the button': [],
    'for a split': [],
    'when the pour ends': [],
    say: [],
    'the liquid': ['water', 'milk', 'syrup'],
    'once the shot is in it': [],
    'where the shot went': [],
    'how it came': [],
    'how it tastes': [],
    sour: ['tastes sour'],
    bitter: ['tastes bitter'],
    burnt: ['tastes burnt'],
    gritty: ['tastes gritty'],
    'or good': ['tastes good'],
    'when it is moved as advised': [],
    'yes or no': ['yes', 'no'],
    'hand off limit and the seconds': ['hand off limit twelve seconds'],
    'or one notch only': ['one notch only'],
    'house dose': ['house dose eighteen'],
    'house yield': ['house yield thirty six'],
    'house opens': ['house opens twenty'],
    'house closes': ['house closes twenty five seconds'],
    'with a number': [],
    'when that is all': [],
    // the greeting and the word on pausing
    'earshot here': [],
    'i listen': [],
    'time your shots and tell you what to change': [],
    'five things to say': [],
    and: [],
    'to begin': [],
    'i am not listening now': [],
    'to wake me': [],
    'tell me to listen again': ['listen again'],
  }

  const taughtBy = (text: string): string[] =>
    text
      .split(/[.,:]\s*/)
      .filter((clause) => clause !== '')
      .flatMap((clause) => inFull[clause.toLowerCase()] ?? [clause])

  it('has a place for each text', () => {
    const texts = Object.keys(sentences).filter((key) => key.startsWith('help.') && key !== 'help.always')
    expect(texts.filter((key) => !(key in whereHelpIs))).toEqual([])
  })

  it.each(Object.entries(whereHelpIs))('%s may be said there', (key, open) => {
    const taught = textOf(key as keyof typeof sentences).flatMap(taughtBy)
    expect(taught.length).toBeGreaterThan(0)
    expect(unsayable(taught, open)).toEqual([])
  })

  it.each(places)('help.always may be said in every place: %s', (place) => {
    expect(unsayable(textOf('help.always').flatMap(taughtBy), openIn({ place }))).toEqual([])
  })
})

describe('what the screen says', () => {
  it.each(grammarNames)('of the grammar "%s" in the help view may be said in it', (name) => {
    const phrases = controls[name].flatMap((control) => screen[sayingOf(control)].split(', '))
    expect(unsayable(phrases, ['stop', name])).toEqual([])
  })

  /** What stands after "say:", up to the end of the clause. */
  const saidIn = (text: string) => [...text.matchAll(/\bsay: ([^.,]+)/gi)].map(([, phrase]) => phrase ?? '')

  it.each(places)('as the next step of "%s" may be said there', (place: Place) => {
    const texts = [screen[`step.${place}`], ...(place === 'grind' ? [screen['step.grind.purge']] : [])]
    expect(unsayable(texts.flatMap(saidIn), openIn({ place }))).toEqual([])
  })

  it('on the first page may be said somewhere', () => {
    const phrases = Object.entries(screen).flatMap(([key, text]) =>
      key.startsWith('start.say.') ? [text] : [],
    )
    expect(phrases).toHaveLength(5)
    expect(unsayable(phrases, grammarNames)).toEqual([])
  })

  it('while it waits to be told may be said then', () => {
    expect(unsayable(saidIn(screen['step.paused']), openIn({ listening: 'paused' }))).toEqual([])
    expect(unsayable(['next'], openIn({ asking: 'setting' }))).toEqual([])
    expect(saidIn(screen['step.paused'])).toEqual(['start listening'])
  })

  it('anywhere else may be said somewhere', () => {
    const said = Object.entries(screen)
      .filter(([key]) => !key.startsWith('step.'))
      .flatMap(([, text]) => saidIn(text))
      .map((phrase) => (phrase === 'drill' ? 'drill four' : phrase))
    expect(said.length).toBeGreaterThan(2)
    expect(unsayable(said, grammarNames)).toEqual([])
  })
})

describe('what the README says', () => {
  const readme = readFileSync(new URL('../../../README.md', import.meta.url), 'utf8')
  const section = /## Ten things to say\n([\s\S]*?)\n## /.exec(readme)?.[1] ?? ''
  const rows = [...section.matchAll(/^\| ([^|]+?) +\|/gm)].map(([, cell]) => cell ?? '').slice(2)
  const quoted = [...section.matchAll(/"([^"]+)"/g)].map(([, phrase]) => phrase ?? '')

  it('can be said somewhere', () => {
    expect(rows).toHaveLength(10)
    expect(quoted.length).toBeGreaterThan(10)
    expect(unsayable([...rows.flatMap((row) => row.split(', ')), ...quoted], grammarNames)).toEqual([])
  })
})
