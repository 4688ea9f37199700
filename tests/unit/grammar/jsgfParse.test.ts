import { describe, expect, it } from 'vitest'
import { JsgfError } from '../../../grammar/jsgf/errors.ts'
import { link } from '../../../grammar/jsgf/link.ts'
import { match } from '../../../grammar/jsgf/match.ts'
import { networkOf } from '../../../grammar/jsgf/network.ts'
import { parseGrammar } from '../../../grammar/jsgf/parse.ts'

// Sections are those of the JSpeech Grammar Format, W3C Note of 5 June 2000. Its examples are given from memory,
// but for that of section 5.1, which was compared with copies of it.

/** A grammar with this body; its first rule is what is matched. */
function grammar(body: string) {
  const parsed = parseGrammar(`#JSGF V1.0;\ngrammar test;\n${body}`, 'test.jsgf')
  const rules = link([parsed])
  const top = parsed.rules[0]
  if (!top) throw new Error('no rule')
  const network = networkOf([{ kind: 'rule', name: `test.${top.name}`, at: top.at }], rules)
  const words = (text: string) => (text === '' ? [] : text.split(' '))
  return {
    allows: (text: string) => match(network, words(text)).length > 0,
    tags: (text: string) => match(network, words(text)),
  }
}

function errorOf(text: string): JsgfError {
  try {
    link([parseGrammar(text, 'test.jsgf')])
  } catch (error) {
    if (error instanceof JsgfError) return error
    throw error
  }
  throw new Error('no error')
}

const errorIn = (body: string) => errorOf(`#JSGF V1.0;\ngrammar test;\n${body}`)

describe('the header (section 3.1)', () => {
  it.each([
    ['#JSGF V1.0;', null, null],
    ['#JSGF V1.0 ISO8859-5;', 'ISO8859-5', null],
    ['#JSGF V1.0 JIS ja;', 'JIS', 'ja'],
  ])('%s', (header, encoding, locale) => {
    expect(parseGrammar(`${header}\ngrammar robot;`, 'robot.jsgf')).toMatchObject({
      encoding,
      locale,
      version: 'V1.0',
    })
  })

  it('is demanded', () => {
    expect(errorOf('grammar robot;').message).toBe('test.jsgf:1:1: a grammar starts with "#JSGF V1.0;"')
  })

  it('of another version is refused', () => {
    expect(errorOf('#JSGF V2.0;\ngrammar robot;').message).toContain('version V2.0 is not known')
  })
})

describe('the name of a grammar (section 3.2)', () => {
  it.each(['robot', 'com.acme.politeness'])('%s', (name) => {
    expect(parseGrammar(`#JSGF V1.0;\ngrammar ${name};`, 'x.jsgf').name).toBe(name)
  })
})

describe('rulenames (section 2.2)', () => {
  it.each(['hello', 'Zürich', 'user_test', '$100', '1+2=3', 'πβ'])('<%s> is a name', (name) => {
    expect(grammar(`public <${name}> = yes;`).allows('yes')).toBe(true)
  })

  it('are told apart by case', () => {
    const both = grammar('<Name> = <name> there; <name> = here;')
    expect(both.allows('here there')).toBe(true)
  })

  it('NULL is said by silence and VOID never (section 2.2.3)', () => {
    expect(grammar('<a> = one <NULL>;').allows('one')).toBe(true)
    const never = grammar('<a> = one | two <VOID>;')
    expect([never.allows('one'), never.allows('two')]).toEqual([true, false])
  })

  it('NULL and VOID cannot be defined (section 4.1)', () => {
    expect(errorIn('<NULL> = one;').message).toBe('test.jsgf:3:1: <NULL> cannot be defined')
  })
})

describe('tokens (section 2.3)', () => {
  it('may be quoted to hold white space and signs (section 2.3.2)', () => {
    const places = parseGrammar('#JSGF V1.0;grammar t;<place> = "New York" | "+" | "say \\"hi\\"";', 't')
      .rules[0]
    expect(JSON.stringify(places)).toContain('"New York"')
    expect(JSON.stringify(places)).toContain('"text":"+"')
    expect(JSON.stringify(places)).toContain('say \\"hi\\"')
  })

  it('need no spaces around the signs', () => {
    expect(grammar('<a>=(one|two)[three]*four;').allows('two three three four')).toBe(true)
  })
})

describe('comments (sections 2.4 and 4.10)', () => {
  it('are left out', () => {
    const commented = grammar(
      '/** documentation\n * @see <b> */\n<a> = one // to the end = ;\n  /* between */ two;',
    )
    expect(commented.allows('one two')).toBe(true)
  })

  it('without an end are an error', () => {
    expect(errorIn('<a> = one; /* for ever').message).toBe('test.jsgf:3:12: this comment has no end')
  })
})

describe('composition (section 4.3)', () => {
  it('sequences (section 4.3.1)', () => {
    const where = grammar('<where> = I live in Boston;')
    expect([where.allows('I live in Boston'), where.allows('I live in')]).toEqual([true, false])
  })

  it('sequences of rules, and alternatives below them (sections 4.3.1 and 4.3.2)', () => {
    const statement = grammar('<statement> = this is <object>; <object> = a book | a red pen;')
    expect(statement.allows('this is a red pen')).toBe(true)
    expect(statement.allows('this is a red book')).toBe(false)
  })

  it('weights (section 4.3.3)', () => {
    const size = parseGrammar('#JSGF V1.0;grammar t;<size> = /10/ small | /2/ medium | /1/ large;', 't')
      .rules[0]
    expect(size?.expansion).toMatchObject({ choices: [{ weight: 10 }, { weight: 2 }, { weight: 1 }] })
    expect(grammar('<color> = /0.5/ red | /0.1/ navy blue | /0.2/ sea green;').allows('navy blue')).toBe(true)
    expect(
      grammar('<action> = please (/20/save files |/1/delete all files);').allows('please save files'),
    ).toBe(true)
    expect(
      grammar('<place> = /20/ <city> | /5/ <country>; <city> = Boston; <country> = France;').allows('France'),
    ).toBe(true)
  })

  it('a weight of 0 is never said (section 4.3.3)', () => {
    const zero = grammar('<a> = /1/ one | /0/ two;')
    expect([zero.allows('one'), zero.allows('two')]).toEqual([true, false])
  })

  it.each([
    ['<a> = /-1/ one | /2/ two;', 'a weight is a number from 0 up, not "-1"'],
    ['<a> = /1/ one | two;', 'either every alternative has a weight or none has'],
    ['<a> = one | /1/ two;', 'either every alternative has a weight or none has'],
    ['<a> = /0/ one | /0/ two;', 'every alternative has weight 0'],
  ])('%s is refused', (body, problem) => {
    expect(errorIn(body).message).toContain(problem)
  })
})

describe('grouping (section 4.4)', () => {
  it('brackets', () => {
    const action = grammar('<action> = please (open | close | delete) the file;')
    expect(action.allows('please close the file')).toBe(true)
    expect(action.allows('please open')).toBe(false)
  })

  it('optional (section 4.4.2)', () => {
    const polite = grammar('<command> = [please | kindly | oh mighty computer] "don\'t" crash;')
    expect(polite.allows("don't crash")).toBe(true)
    expect(polite.allows("oh mighty computer don't crash")).toBe(true)
    expect(polite.allows("please kindly don't crash")).toBe(false)
  })
})

describe('unary operators (section 4.5)', () => {
  const polite = '<polite> = please | kindly | oh mighty computer;'

  it('the Kleene star (section 4.5.1)', () => {
    const command = grammar(`<command> = <polite>* don't crash; ${polite}`)
    for (const text of [
      "don't crash",
      "please don't crash",
      "oh mighty computer please please don't crash",
    ]) {
      expect(command.allows(text)).toBe(true)
    }
  })

  it('the plus (section 4.5.2)', () => {
    const command = grammar(`<command> = <polite>+ don't crash; ${polite}`)
    expect(command.allows("don't crash")).toBe(false)
    expect(command.allows("please kindly don't crash")).toBe(true)
  })

  it('bind to the one thing before them (section 4.7)', () => {
    const songs = grammar('<song> = sing New York *;')
    expect([songs.allows('sing New York York'), songs.allows('sing New York New York')]).toEqual([
      true,
      false,
    ])
    const grouped = grammar('<song> = sing (New York)*;')
    expect(grouped.allows('sing New York New York')).toBe(true)
  })

  it('a star over what may be silent comes to an end', () => {
    expect(grammar('<a> = ([one] [two]*)* three;').allows('one two two one three')).toBe(true)
  })
})

describe('tags (section 4.6)', () => {
  it('belong to the thing before them', () => {
    const country = grammar(
      '<country> = Australia {Oz} | (United States) {USA} | America {USA} | (U S of A) {USA};',
    )
    expect(country.tags('Australia')).toEqual([[{ tag: 'Oz', inside: [] }]])
    for (const text of ['United States', 'America', 'U S of A']) {
      expect(country.tags(text)).toEqual([[{ tag: 'USA', inside: [] }]])
    }
  })

  it('bind closer than sequences and alternatives (section 4.7)', () => {
    expect(grammar('<a> = one two {x} | three;').tags('three')).toEqual([[]])
    const nested = grammar('<a> = (one {x} | two) {y} {z};')
    expect(nested.tags('one')).toEqual([
      [{ tag: 'z', inside: [{ tag: 'y', inside: [{ tag: 'x', inside: [] }] }] }],
    ])
  })

  it('may hold a brace after a backslash (section 4.6.1)', () => {
    expect(grammar('<a> = one {a \\} b \\\\};').tags('one')).toEqual([[{ tag: 'a } b \\', inside: [] }]])
  })
})

describe('recursion (section 4.8)', () => {
  it('right recursion is a repeat', () => {
    const command = grammar(
      '<command> = <action> | (<action> and <command>); <action> = stop | start | pause | resume;',
    )
    expect(command.allows('stop')).toBe(true)
    expect(command.allows('stop and start and pause')).toBe(true)
    expect(command.allows('stop and')).toBe(false)
  })

  it('nested right recursion', () => {
    const nested = grammar('<X> = something | <Y>; <Y> = another thing <X>;')
    expect(nested.allows('another thing another thing something')).toBe(true)
  })

  it.each([
    ['<a> = <a> and one | one;', '3:7', 'before a word is said'],
    ['<a> = [please] <a>;', '3:16', 'before a word is said'],
    ['<a> = one <a> two | one;', '3:11', 'before its end'],
    ['<a> = one (<a>)*;', '3:12', 'before its end'],
    ['<a> = one <b>; <b> = two <a> three;', '3:26', 'before its end'],
  ])('%s is refused', (body, place, problem) => {
    expect(errorIn(body).message).toMatch(`test.jsgf:${place}: <test.a> comes back to itself ${problem}`)
  })
})

describe('a simple command (section 5.1)', () => {
  const command = grammar(`
    public <basicCmd> = <startPolite> <command> <endPolite>;
    <command> = <action> <object>;
    <action> = /10/ open | /2/ close | /1/ delete | /1/ move;
    <object> = [the | a] (window | file | menu);
    <startPolite> = (please | kindly | could you | oh mighty computer) *;
    <endPolite> = [ please | thanks | thank you ];`)

  it.each(['open a window', 'could you please move the file thank you', 'oh mighty computer delete menu'])(
    '"%s"',
    (text) => {
      expect(command.allows(text)).toBe(true)
    },
  )

  it.each(['open', 'open a the window', 'open a window thanks please'])('not "%s"', (text) => {
    expect(command.allows(text)).toBe(false)
  })
})

describe('errors', () => {
  it.each([
    ['<a> = one', '3:7', 'expected ;, found the end of the file'],
    ['<a> = (one;', '3:11', 'expected ), found sign ";"'],
    ['<a> = ;', '3:7', 'expected something to say; silence is written <NULL>, found sign ";"'],
    ['<a> = one | ;', '3:13', 'expected something to say'],
    ['<a> one;', '3:5', 'expected =, found word "one"'],
    ['<a> = one;\n<a> = two;', '4:1', '<a> is already defined on line 3'],
    ['<a> = one {tag;', '3:11', 'this tag has no closing }'],
    ['<a> = "one;', '3:7', 'this quoted has no closing "'],
    ['<a> = one <b;', '3:11', 'this rulename has no closing >'],
    ['<a> = one > two;', '3:11', '> is out of place'],
    ['<a> = <b>;', '3:7', 'there is no rule <b>'],
    ['<x.a> = one;', '3:1', 'a rule is defined by its simple name'],
    ['import <a>;', '3:8', '<a> does not say which grammar it is from'],
    ['<a> = "";', '3:7', 'a quoted token cannot be empty'],
  ])('%s', (body, place, problem) => {
    expect(errorIn(body).message).toContain(`test.jsgf:${place}: ${problem}`)
  })
})
