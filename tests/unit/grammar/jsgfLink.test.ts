import { describe, expect, it } from 'vitest'
import { link } from '../../../grammar/jsgf/link.ts'
import { parseGrammar } from '../../../grammar/jsgf/parse.ts'

// Section 2.2.2 (resolving rulenames) and 3.3 (imports) of the JSpeech Grammar Format, W3C Note of 5 June 2000.

/** Links grammars that are given by name and body. */
function linked(grammars: Record<string, string>) {
  return link(
    Object.entries(grammars).map(([name, body]) =>
      parseGrammar(`#JSGF V1.0;\ngrammar ${name};\n${body}`, `${name}.jsgf`),
    ),
  )
}

const politeness = 'public <startPolite> = please | kindly; <private> = hello;'

describe('imports', () => {
  it('of one rule', () => {
    const rules = linked({
      'com.acme.politeness': politeness,
      commands: 'import <com.acme.politeness.startPolite>; public <command> = <startPolite> go;',
    })
    expect(JSON.stringify(rules.get('commands.command'))).toContain('"com.acme.politeness.startPolite"')
  })

  it('of all public rules', () => {
    const rules = linked({
      'com.acme.politeness': politeness,
      commands: 'import <com.acme.politeness.*>; public <command> = <startPolite> go;',
    })
    expect(JSON.stringify(rules.get('commands.command'))).toContain('"com.acme.politeness.startPolite"')
  })

  it('are not needed for a fully qualified name, which may also be partly qualified when imported', () => {
    expect(() =>
      linked({ 'com.acme.politeness': politeness, a: '<a> = <com.acme.politeness.startPolite>;' }),
    ).not.toThrow()
    expect(() =>
      linked({
        'com.acme.politeness': politeness,
        a: 'import <com.acme.politeness.*>; <a> = <politeness.startPolite>;',
      }),
    ).not.toThrow()
  })

  it('give way to a local rule', () => {
    const rules = linked({
      'com.acme.politeness': politeness,
      a: 'import <com.acme.politeness.*>; <a> = <startPolite>; <startPolite> = oi;',
    })
    expect(JSON.stringify(rules.get('a.a'))).toContain('"a.startPolite"')
  })

  it.each([
    ['import <b.x>; <a> = one;', 'no grammar has <b.x>'],
    ['import <com.acme.politeness.private>; <a> = one;', '<com.acme.politeness.private> is not public'],
    ['<a> = <com.acme.politeness.private>;', '<com.acme.politeness.private> is not public'],
    ['<a> = <startPolite>;', 'there is no rule <startPolite>'],
  ])('%s is refused', (body, problem) => {
    expect(() => linked({ 'com.acme.politeness': politeness, a: body })).toThrow(problem)
  })

  it('of the same name from two grammars are ambiguous', () => {
    expect(() =>
      linked({ b: 'public <x> = one;', c: 'public <x> = two;', a: 'import <b.*>; import <c.*>; <a> = <x>;' }),
    ).toThrow('a.jsgf:3:35: <x> may be <b.x> or <c.x>')
  })

  it('of each other is refused when it is not right recursion', () => {
    expect(() =>
      linked({ b: 'import <c.y>; public <x> = one <y> two;', c: 'import <b.x>; public <y> = three <x>;' }),
    ).toThrow('comes back to itself before its end')
  })
})
