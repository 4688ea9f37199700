/**
 * How long the grammars take on the main thread: parsing a language, listing the phrases of each set of grammars
 * that is open together, and understanding what was heard. `npm run bench -- grammar`.
 *
 * Budgets: a change of state (phrases and network) within 100 ms, understanding within 5 ms, each the median of 20.
 */
import { openSets } from '../../grammar/check/openTogether.ts'
import { phrasesFor } from '../../grammar/phrases.ts'
import { readLanguage } from '../../grammar/readLanguage.ts'
import { understanding } from '../../grammar/understand.ts'

const budgets = { change: 100, understand: 5 }

/** Milliseconds, the median of 20 runs after one to warm up. */
function median(run: () => unknown): number {
  run()
  const times = Array.from({ length: 20 }, () => {
    const start = performance.now()
    run()
    return performance.now() - start
  })
  return times.sort((a, b) => a - b)[10] ?? 0
}

export default function bench(): void {
  const language = readLanguage('en')
  console.log(`parse all grammars: ${median(() => readLanguage('en')).toFixed(1)} ms`)
  const over: string[] = []
  for (const open of openSets) {
    const phrases = phrasesFor(language, open)
    const longest = phrases.reduce((one, two) => (two.length > one.length ? two : one)).split(' ')
    const change = median(() => [phrasesFor(language, open), understanding(language, open)])
    const understand = understanding(language, open)
    const understood = median(() => understand(longest))
    console.log(
      `${open.join(' ')}: ${phrases.length} phrases, change ${change.toFixed(1)} ms, understand ${understood.toFixed(2)} ms`,
    )
    if (change > budgets.change || understood > budgets.understand) over.push(open.join(' '))
  }
  if (over.length > 0) {
    console.error(`over budget: ${over.join('; ')}`)
    process.exitCode = 1
  }
}
