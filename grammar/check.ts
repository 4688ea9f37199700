import { parseArgs } from 'node:util'
import { commandsOf } from './check/commands.ts'
import { soundingAlike } from './check/confusable.ts'
import { describe } from './check/confusions.ts'
import { checkLanguage } from './check/language.ts'
import { parseLexicon } from './lexicon.ts'
import { languageCodes, readLanguage, readLanguageFile } from './readLanguage.ts'

const help = `npm run check:grammar -- [--language CODE] [--near PHONES]

Checks the grammars, pronunciations and sentences of every language, or of one; for a new one it lists what is
still to be written. With --near it lists the commands that are at most so many phones apart instead.`

const { values } = parseArgs({
  options: { language: { type: 'string' }, near: { type: 'string' }, help: { type: 'boolean' } },
})

const codes = languageCodes()
const chosen = values.language === undefined ? codes : [values.language]

if (values.help) console.log(help)
else if (values.near !== undefined) for (const code of chosen) listNear(code, Number(values.near))
else if (chosen.map(report).includes(false)) process.exitCode = 1

/** Prints what is wrong with a language; whether nothing is. */
function report(code: string): boolean {
  try {
    const problems = checkLanguage(
      code,
      codes.filter((other) => other !== code),
    )
    const lines = Object.entries(problems).flatMap(([check, found]) =>
      found.map((problem) => `${code} ${check}: ${problem}`),
    )
    for (const line of lines) console.error(line)
    console.log(lines.length === 0 ? `${code}: all is well` : `${code}: ${lines.length} problems`)
    return lines.length === 0
  } catch (error) {
    console.error(error instanceof Error ? error.message : error)
    return false
  }
}

function listNear(code: string, phones: number): void {
  if (![1, 2].includes(phones)) throw new RangeError(`--near takes 1 or 2, not ${phones}`)
  const lexicon = parseLexicon(readLanguageFile(code, 'lexicon.dict'), `${code}/lexicon.dict`)
  for (const pair of soundingAlike(commandsOf(readLanguage(code)).commands, lexicon, phones))
    console.log(describe(pair))
}
