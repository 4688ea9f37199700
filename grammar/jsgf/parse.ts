import { JsgfError, type Position } from './errors.ts'
import {
  nullRule,
  voidRule,
  type Choice,
  type Expansion,
  type Grammar,
  type Import,
  type Rule,
} from './syntax.ts'
import { tokensOf, type Token } from './tokens.ts'

const header = /^\uFEFF?#JSGF[ \t]+(V[\d.]+)(?:[ \t]+([^\s;]+))?(?:[ \t]+([^\s;]+))?[ \t]*;/u

/**
 * Parses one file in the JSpeech Grammar Format (W3C Note of 5 June 2000).
 * @param file named in errors
 * @throws JsgfError with line and column
 */
export function parseGrammar(text: string, file: string): Grammar {
  const head = header.exec(text)
  if (!head) {
    throw new JsgfError('a grammar starts with "#JSGF V1.0;"', { file, line: 1, column: 1 })
  }
  const [all, version = '', encoding = null, locale = null] = head
  if (version !== 'V1.0') {
    throw new JsgfError(`version ${version} is not known, only V1.0`, { file, line: 1, column: 7 })
  }
  const body = ' '.repeat(all.length) + text.slice(all.length)
  return { version, encoding, locale, ...new Parser(tokensOf(body, file), file).grammar() }
}

/** Recursive descent, a method for each precedence of section 4.7. */
class Parser {
  #next = 0
  readonly #tokens: readonly Token[]
  readonly #file: string

  constructor(tokens: readonly Token[], file: string) {
    this.#tokens = tokens
    this.#file = file
  }

  grammar(): Pick<Grammar, 'name' | 'imports' | 'rules'> {
    if (!this.#takeWord('grammar')) throw this.#error('expected "grammar" and its name')
    const name = this.#expect('word', 'the name of the grammar').text
    this.#expectSign(';')

    const imports: Import[] = []
    while (this.#takeWord('import')) {
      const { text, at } = this.#expect('rulename', 'an import in <>')
      if (!text.includes('.')) throw new JsgfError(`<${text}> does not say which grammar it is from`, at)
      imports.push({ name: text, at })
      this.#expectSign(';')
    }

    const rules: Rule[] = []
    while (this.#peek()) rules.push(this.#rule(rules))
    return { name, imports, rules }
  }

  #rule(before: readonly Rule[]): Rule {
    const isPublic = this.#takeWord('public')
    const { text: name, at } = this.#expect('rulename', 'a rule such as <name> = ...;')
    if (name === nullRule || name === voidRule) throw new JsgfError(`<${name}> cannot be defined`, at)
    if (name.includes('.')) throw new JsgfError(`a rule is defined by its simple name, not <${name}>`, at)
    const twin = before.find((rule) => rule.name === name)
    if (twin) throw new JsgfError(`<${name}> is already defined on line ${twin.at.line}`, at)
    this.#expectSign('=')
    const expansion = this.#alternatives()
    this.#expectSign(';')
    return { name, public: isPublic, expansion, at }
  }

  #alternatives(): Expansion {
    const choices: Choice[] = []
    let weighted: boolean | undefined
    do {
      const weight = this.#weight()
      const start = this.#position()
      if (weighted !== undefined && weighted !== (weight !== undefined)) {
        throw new JsgfError('either every alternative has a weight or none has', start)
      }
      weighted = weight !== undefined
      choices.push({ weight: weight ?? 1, expansion: this.#sequence() })
    } while (this.#takeSign('|'))
    const [only] = choices
    if (choices.length === 1 && only && !weighted) return only.expansion
    if (choices.every((choice) => choice.weight === 0)) throw this.#error('every alternative has weight 0')
    return { kind: 'alternatives', choices }
  }

  #weight(): number | undefined {
    const token = this.#peek()
    if (token?.kind !== 'weight') return undefined
    this.#next++
    const text = token.text.trim()
    if (!/^(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/iu.test(text)) {
      throw new JsgfError(`a weight is a number from 0 up, not "${text}"`, token.at)
    }
    return Number(text)
  }

  #sequence(): Expansion {
    const parts: Expansion[] = []
    for (;;) {
      const part = this.#operand()
      if (!part) break
      parts.push(this.#operators(part))
    }
    const [only] = parts
    if (!only) throw this.#error('expected something to say; silence is written <NULL>')
    return parts.length === 1 ? only : { kind: 'sequence', parts }
  }

  #operand(): Expansion | undefined {
    const token = this.#peek()
    if (!token) return undefined
    const { kind, text, at } = token
    if (kind === 'word' || kind === 'quoted') {
      this.#next++
      if (text === '') throw new JsgfError('a quoted token cannot be empty', at)
      return { kind: 'word', text, at }
    }
    if (kind === 'rulename') {
      this.#next++
      if (text === '' || text.endsWith('*')) throw new JsgfError(`<${text}> is not the name of a rule`, at)
      return { kind: 'rule', name: text, at }
    }
    if (this.#takeSign('(')) {
      const inner = this.#alternatives()
      this.#expectSign(')')
      return inner
    }
    if (this.#takeSign('[')) {
      const inner = this.#alternatives()
      this.#expectSign(']')
      return { kind: 'optional', inner }
    }
    return undefined
  }

  /** The unary operators that follow an operand (sections 4.5 and 4.6). */
  #operators(operand: Expansion): Expansion {
    let whole = operand
    for (;;) {
      const token = this.#peek()
      if (this.#takeSign('*')) whole = { kind: 'repeated', inner: whole, atLeast: 0 }
      else if (this.#takeSign('+')) whole = { kind: 'repeated', inner: whole, atLeast: 1 }
      else if (token?.kind === 'tag') {
        this.#next++
        whole = { kind: 'tagged', inner: whole, tag: token.text.trim(), at: token.at }
      } else return whole
    }
  }

  #peek(): Token | undefined {
    return this.#tokens[this.#next]
  }

  #takeWord(text: string): boolean {
    const token = this.#peek()
    if (token?.kind !== 'word' || token.text !== text) return false
    this.#next++
    return true
  }

  #takeSign(text: string): boolean {
    const token = this.#peek()
    if (token?.kind !== 'sign' || token.text !== text) return false
    this.#next++
    return true
  }

  #expect(kind: Token['kind'], what: string): Token {
    const token = this.#peek()
    if (token?.kind !== kind) throw this.#error(`expected ${what}`)
    this.#next++
    return token
  }

  #expectSign(text: string): void {
    if (!this.#takeSign(text)) throw this.#error(`expected ${text}`)
  }

  #position(): Position {
    const token = this.#peek() ?? this.#tokens.at(-1)
    return token?.at ?? { file: this.#file, line: 1, column: 1 }
  }

  #error(expected: string): JsgfError {
    const token = this.#peek()
    const found = token
      ? `${expected}, found ${token.kind} "${token.text}"`
      : `${expected}, found the end of the file`
    return new JsgfError(found, this.#position())
  }
}
