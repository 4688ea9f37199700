import * as v from 'valibot'
import { grammarNames, type GrammarName } from '../../src/messages/grammarName.ts'
import data from '../openTogether.json' with { type: 'json' }

const schema = v.strictObject({
  sets: v.array(v.array(v.picklist(grammarNames))),
  obeyedEarly: v.array(v.picklist(grammarNames)),
})

const { sets, obeyedEarly } = v.parse(schema, data)

/** The sets of grammars that the bar opens at one time; a test compares them with the bar. */
export const openSets: readonly (readonly GrammarName[])[] = sets

/** Whether hearing obeys the words of a grammar before the speaker has finished. */
export function isObeyedEarly(grammar: GrammarName): boolean {
  return obeyedEarly.includes(grammar)
}

/** Whether two grammars may be open at one time. */
export function mayBeOpenTogether(one: GrammarName, two: GrammarName): boolean {
  return one === two || openSets.some((set) => set.includes(one) && set.includes(two))
}
