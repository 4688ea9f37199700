import type { GrammarName } from '../src/messages/grammarName.ts'
import { link, type Rules } from './jsgf/link.ts'
import { networkOf, type Network, type StandIn } from './jsgf/network.ts'
import { parseGrammar } from './jsgf/parse.ts'
import type { Expansion } from './jsgf/syntax.ts'

/** What can be said in one language. */
export interface Language {
  /** the name of its folder: `en` */
  code: string
  rules: Rules
  /** the names of the grammars that have a file, the supporting ones included */
  grammars: readonly string[]
}

/**
 * @param files the text of each `*.jsgf` file of `grammar/<code>/` by its name without the ending; a file
 * `dose` holds the grammar `dose`
 * @throws JsgfError with file, line and column
 */
export function parseLanguage(code: string, files: Readonly<Record<string, string>>): Language {
  const grammars = Object.entries(files)
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([name, text]) => {
      const grammar = parseGrammar(text, `${code}/${name}.jsgf`)
      if (grammar.name !== name) throw new Error(`${code}/${name}.jsgf holds a grammar named ${grammar.name}`)
      return grammar
    })
  return { code, rules: link(grammars), grammars: grammars.map(({ name }) => name) }
}

/** The supporting grammar whose rule `name` is what the tool is called by. */
export const nameToCall: Expansion = {
  kind: 'rule',
  name: 'name.name',
  at: { file: 'name.jsgf', line: 1, column: 1 },
}

/** Whether commands stand alone, may follow the tool's name, or must. */
export type NameToCall = 'no' | 'may' | 'must'

/** The name to call alone: "hey earshot". */
export function nameNetwork(language: Language): Network {
  return networkOf([nameToCall], language.rules)
}

/** Everything that may be said while these grammars are open: their public rules. */
export function commandNetwork(
  language: Language,
  open: readonly GrammarName[],
  standIns?: ReadonlyMap<string, StandIn>,
): Network {
  for (const name of open) {
    if (!language.grammars.includes(name))
      throw new Error(`the language ${language.code} has no grammar "${name}"`)
  }
  const tops = [...language.rules.values()].filter(
    (rule) => rule.public && open.some((name) => rule.name.startsWith(`${name}.`)),
  )
  return networkOf(
    tops.map((rule): Expansion => ({ kind: 'rule', name: rule.name, at: rule.at })),
    language.rules,
    standIns,
  )
}
