import { situations, type Rule, type Situation } from './decisionTable.ts'
import { meets } from './judgement.ts'

/** Every situation there is. */
export function everySituation(): Situation[] {
  const names = Object.keys(situations) as (keyof Situation)[]
  return names.reduce<object[]>(
    (partial, name) =>
      partial.flatMap((start) => situations[name].map((value) => ({ ...start, [name]: value }))),
    [{}],
  ) as Situation[]
}

/**
 * What is wrong with a decision table, in plain words: situations that no rule fits, and rules that decide no
 * situation because rules before them always do. An empty list means that every situation has exactly one answer
 * and every rule a purpose.
 */
export function checkDecisionTable(table: readonly Rule[]): readonly string[] {
  const used = new Set<Rule>()
  const problems: string[] = []
  for (const situation of everySituation()) {
    const rule = table.find(({ when }) => meets(situation, when))
    if (rule) used.add(rule)
    else problems.push(`no rule fits ${JSON.stringify(situation)}`)
  }
  for (const rule of table) if (!used.has(rule)) problems.push(`never used: ${JSON.stringify(rule.when)}`)
  return problems
}
