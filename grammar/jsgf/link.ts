import { JsgfError } from './errors.ts'
import { nullRule, voidRule, type Expansion, type Grammar, type Rule } from './syntax.ts'

/** Rules of several grammars by their fully qualified names; every name in an expansion is one of these. */
export type Rules = ReadonlyMap<string, Rule>

/**
 * Resolves every rulename over all the grammars (section 2.2.2 of the W3C Note): a local rule first, then an
 * imported one; a rule of another grammar must be public, and a fully qualified name needs no import.
 * @throws JsgfError for a name that is unknown, private, or imported twice, and for recursion other than right
 * recursion (section 4.8)
 */
export function link(grammars: readonly Grammar[]): Rules {
  const written = new Map<string, Rule>()
  for (const grammar of grammars) {
    for (const rule of grammar.rules) {
      const name = `${grammar.name}.${rule.name}`
      const twin = written.get(name)
      if (twin) throw new JsgfError(`<${name}> is also defined in ${twin.at.file}`, rule.at)
      written.set(name, rule)
    }
  }

  const linked = new Map<string, Rule>()
  for (const grammar of grammars) {
    const names = namesSeenBy(grammar, written)
    for (const rule of grammar.rules) {
      const name = `${grammar.name}.${rule.name}`
      linked.set(name, { ...rule, name, expansion: qualify(rule.expansion, names) })
    }
  }
  for (const rule of linked.values()) refuseRecursion(rule, linked)
  return linked
}

/** A function from a rulename as written in `grammar` to its fully qualified name. */
function namesSeenBy(grammar: Grammar, written: Rules) {
  const isForeign = (name: string) =>
    !name.startsWith(`${grammar.name}.`) || name.slice(grammar.name.length + 1).includes('.')

  const imported = new Set<string>()
  for (const { name, at } of grammar.imports) {
    const found = name.endsWith('.*')
      ? [...written].filter(
          ([full, rule]) => rule.public && full.slice(0, full.lastIndexOf('.')) === name.slice(0, -2),
        )
      : [...written].filter(([full]) => full === name)
    const [first] = found
    if (!first) throw new JsgfError(`no grammar has <${name}>`, at)
    for (const [full, rule] of found) {
      if (!rule.public) throw new JsgfError(`<${full}> is not public`, at)
      imported.add(full)
    }
  }

  return (name: string, at: Rule['at']): string => {
    if (name === nullRule || name === voidRule) return name
    const local = `${grammar.name}.${name}`
    if (written.has(local)) return local
    const candidates = [...imported].filter((full) => full === name || full.endsWith(`.${name}`))
    const [first, second] = candidates
    if (first && second) throw new JsgfError(`<${name}> may be <${first}> or <${second}>`, at)
    if (first) return first
    const rule = written.get(name)
    if (!rule) throw new JsgfError(`there is no rule <${name}>`, at)
    if (isForeign(name) && !rule.public) throw new JsgfError(`<${name}> is not public`, at)
    return name
  }
}

function qualify(expansion: Expansion, full: (name: string, at: Rule['at']) => string): Expansion {
  switch (expansion.kind) {
    case 'word':
      return expansion
    case 'rule':
      return { ...expansion, name: full(expansion.name, expansion.at) }
    case 'sequence':
      return { ...expansion, parts: expansion.parts.map((part) => qualify(part, full)) }
    case 'alternatives':
      return {
        ...expansion,
        choices: expansion.choices.map((choice) => ({
          ...choice,
          expansion: qualify(choice.expansion, full),
        })),
      }
    case 'optional':
    case 'repeated':
    case 'tagged':
      return { ...expansion, inner: qualify(expansion.inner, full) }
  }
}

/**
 * Right recursion is all that a recogniser can do with: a rule may come back to itself only as the last thing
 * said, outside tags and repeats, and after something else.
 */
function refuseRecursion(top: Rule, rules: Rules): void {
  const seen = new Set<string>()

  /** @param first whether nothing need be said before; @param last whether nothing may follow */
  const visit = (expansion: Expansion, first: boolean, last: boolean): void => {
    switch (expansion.kind) {
      case 'word':
        return
      case 'rule': {
        if (expansion.name === top.name) {
          if (first)
            throw new JsgfError(`<${top.name}> comes back to itself before a word is said`, expansion.at)
          if (!last) throw new JsgfError(`<${top.name}> comes back to itself before its end`, expansion.at)
        }
        const key = `${expansion.name} ${first} ${last}`
        const rule = rules.get(expansion.name)
        if (!rule || seen.has(key)) return
        seen.add(key)
        visit(rule.expansion, first, last)
        return
      }
      case 'sequence': {
        let stillFirst = first
        expansion.parts.forEach((part, index) => {
          visit(part, stillFirst, last && index === expansion.parts.length - 1)
          stillFirst &&= maySilent(part, rules)
        })
        return
      }
      case 'alternatives':
        for (const choice of expansion.choices) visit(choice.expansion, first, last)
        return
      case 'optional':
        visit(expansion.inner, first, last)
        return
      case 'repeated':
      case 'tagged':
        visit(expansion.inner, first, false)
        return
    }
  }
  visit(top.expansion, true, true)
}

/** Whether an expansion may be said by silence. */
function maySilent(expansion: Expansion, rules: Rules, within: readonly string[] = []): boolean {
  switch (expansion.kind) {
    case 'word':
      return false
    case 'rule': {
      if (expansion.name === nullRule) return true
      const rule = rules.get(expansion.name)
      if (!rule || within.includes(expansion.name)) return false
      return maySilent(rule.expansion, rules, [...within, expansion.name])
    }
    case 'sequence':
      return expansion.parts.every((part) => maySilent(part, rules, within))
    case 'alternatives':
      return expansion.choices.some((choice) => maySilent(choice.expansion, rules, within))
    case 'optional':
      return true
    case 'repeated':
      return expansion.atLeast === 0 || maySilent(expansion.inner, rules, within)
    case 'tagged':
      return maySilent(expansion.inner, rules, within)
  }
}
