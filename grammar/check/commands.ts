import type { Meaning } from '../../src/messages/command.ts'
import { grammarNames, type GrammarName } from '../../src/messages/grammarName.ts'
import { sentencesOf } from '../jsgf/match.ts'
import type { StandIn } from '../jsgf/network.ts'
import { commandNetwork, type Language } from '../language.ts'
import { meaningOf } from '../meaning.ts'
import { readTags, TagError } from '../tags.ts'

/** Stands for any number in the words of a spoken command. */
export const numberWord = '#'

/** A way to say a command, any number standing for all. */
export interface SpokenCommand {
  grammar: GrammarName
  words: readonly string[]
  meaning: Meaning
}

/** A grammar whose sentence makes no valid command. */
export interface Misread {
  grammar: GrammarName
  words: readonly string[]
  problem: string
}

/** Every way to say every command of a language. */
export function commandsOf(language: Language): { commands: SpokenCommand[]; misread: Misread[] } {
  const standIns = new Map<string, StandIn>(
    [...language.rules.keys()]
      .filter((name) => name.startsWith('number.'))
      .map((name) => [name, { word: numberWord, tag: '+1' }]),
  )
  const commands: SpokenCommand[] = []
  const misread: Misread[] = []
  for (const grammar of grammarNames) {
    if (!language.grammars.includes(grammar)) continue
    for (const { words, tags } of sentencesOf(commandNetwork(language, [grammar], standIns))) {
      try {
        commands.push({ grammar, words, meaning: meaningOf(readTags(tags)) })
      } catch (error) {
        if (!(error instanceof TagError)) throw error
        misread.push({ grammar, words, problem: error.message })
      }
    }
  }
  return { commands, misread }
}

/** Whether two commands tell the bar the same. */
export function meansTheSame(one: Meaning, two: Meaning): boolean {
  return JSON.stringify(one) === JSON.stringify(two)
}
