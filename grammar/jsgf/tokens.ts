import { JsgfError, type Position } from './errors.ts'

/** A piece of a grammar file. `text` is without the brackets, quotes or slashes around it. */
export interface Token {
  kind: 'word' | 'quoted' | 'rulename' | 'tag' | 'weight' | 'sign'
  text: string
  at: Position
}

const whiteSpace = /\s/u

/** What ends an unquoted word (section 2.3 of the W3C Note). */
const delimiter = /[\s;=|*+<>()[\]{}"/]/u

const signs = ';=|*+()[]'

/**
 * Splits the text after the header line of a grammar into tokens; comments (section 2.4) are left out.
 * @throws JsgfError where a comment, quote, tag, weight or rulename has no end, or a character fits nowhere
 */
export function tokensOf(text: string, file: string): Token[] {
  const tokens: Token[] = []
  let index = 0
  let line = 1
  let lineStart = 0

  const here = (): Position => ({ file, line, column: index - lineStart + 1 })

  /** Moves on to `end`, keeping count of the lines. */
  const moveTo = (end: number) => {
    for (; index < end; index++) {
      if (text[index] === '\n') {
        line++
        lineStart = index + 1
      }
    }
  }

  const skipComment = (from: number, close: string) => {
    const end = text.indexOf(close, from)
    if (end < 0 && close !== '\n') throw new JsgfError('this comment has no end', here())
    moveTo(end < 0 ? text.length : end + close.length)
  }

  /** Reads up to `close`; a backslash keeps the character after it (sections 2.3.2 and 4.6.1). */
  const readEnclosed = (kind: Token['kind'], close: string, escapes: boolean) => {
    const at = here()
    let content = ''
    let end = index + 1
    for (; text[end] !== close; end++) {
      if (escapes && text[end] === '\\') end++
      if (end >= text.length) throw new JsgfError(`this ${kind} has no closing ${close}`, at)
      content += text[end]
    }
    tokens.push({ kind, text: content, at })
    moveTo(end + 1)
  }

  while (index < text.length) {
    const character = text.charAt(index)
    if (whiteSpace.test(character)) moveTo(index + 1)
    else if (text.startsWith('//', index)) skipComment(index + 2, '\n')
    else if (text.startsWith('/*', index)) skipComment(index + 2, '*/')
    else if (character === '"') readEnclosed('quoted', '"', true)
    else if (character === '<') readEnclosed('rulename', '>', false)
    else if (character === '{') readEnclosed('tag', '}', true)
    else if (character === '/') readEnclosed('weight', '/', false)
    else if (signs.includes(character)) {
      tokens.push({ kind: 'sign', text: character, at: here() })
      moveTo(index + 1)
    } else if (delimiter.test(character)) {
      throw new JsgfError(`${character} is out of place`, here())
    } else {
      const at = here()
      let end = index
      while (end < text.length && !delimiter.test(text.charAt(end))) end++
      tokens.push({ kind: 'word', text: text.slice(index, end), at })
      moveTo(end)
    }
  }
  return tokens
}
