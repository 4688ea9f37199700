import { describe, expect, it } from 'vitest'
import { bundledDrills } from '../../../grammar/bundledDrills.ts'
import { phrasesFor } from '../../../grammar/phrases.ts'
import { readLanguage } from '../../../grammar/readLanguage.ts'
import { understanding, type Understand } from '../../../grammar/understand.ts'
import type { Meaning } from '../../../src/messages/command.ts'
import type { DrillStep, DrillWait } from '../../../src/messages/drill.ts'
import type { GrammarName } from '../../../src/messages/grammarName.ts'
import { driveBar } from './driveBar.ts'

type Bar = ReturnType<typeof driveBar>

const english = readLanguage('en')
const drills = await bundledDrills('en')

const understands = new Map<string, Understand>()
function meaningOf(text: string, open: readonly GrammarName[]): Meaning | null {
  const understand = understands.get(open.join()) ?? understanding(english, open, { name: 'no' })
  understands.set(open.join(), understand)
  const understood = understand(text.split(' '))
  return understood.kind === 'command' ? understood.meaning : null
}

/** Says words as a person does: they count only where they are open. */
function speak(bar: Bar, text: string): Bar {
  const meaning = meaningOf(text, bar.open)
  if (!meaning) throw new Error(`"${text}" is not open; open are ${bar.open.join(', ')}`)
  return (bar.say as (intent: string, slots: unknown) => Bar)(meaning.intent, meaning.slots)
}

const begun = (number: number) => {
  const bar = speak(
    driveBar(),
    `drill ${['', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'][number]}`,
  )
  bar.cues.splice(0)
  return bar
}
const times = (count: number, doing: () => void) => Array.from({ length: count }, doing)

/** What a person says and does to get through a step of each kind. */
const ways: { [W in DrillWait['for']]: (bar: Bar, wait: Extract<DrillWait, { for: W }>) => void } = {
  next: (bar) => speak(bar, 'next'),
  grind: (bar) => speak(bar, 'three notches coarser'),
  pour: (bar) => speak(speak(bar, 'go').wait(9), 'stop'),
  window: (bar) => {
    speak(speak(bar, 'go').wait(9), 'stop')
    speak(speak(bar, 'one notch finer'), 'purged')
    speak(speak(bar, 'pump on').wait(19), 'shot done')
  },
  'hand-off': (bar) => speak(bar, 'first into milk'),
  cups: (bar, { count, every }) =>
    times(count, () => {
      bar.wait(1)
      speak(bar, 'milk').wait(every - 1)
    }),
  rest: (bar, { seconds }) => bar.wait(seconds + 1),
  answer: (bar) => speak(bar, 'yes'),
  presses: (bar, { count }) => times(count, () => speak(bar, 'pressed forty pounds')),
  doses: (bar, { count }) => times(count, () => speak(bar, 'eighteen point two grams')),
  call: (bar, { seconds }) => speak(speak(bar, 'start').wait(seconds), 'stop'),
}
const go = (bar: Bar, { wait }: DrillStep) =>
  (ways[wait.for] as (bar: Bar, wait: DrillWait) => void)(bar, wait)

const speaks = (bar: Bar) =>
  bar.cues.splice(0).flatMap((cue) => (cue.kind === 'say' ? [cue.sentence] : [cue.kind]))

describe.each(drills.map((drill) => ({ number: drill.number, drill })))(
  'drill $number, by voice alone',
  ({ number, drill }) => {
    const instruction = (step: number) => `drill.${drill.id}.${step + 1}.say`
    /** the bar in a step, all that was said on the way forgotten */
    const inStep = (step: number) => {
      const bar = begun(number)
      times(step, () => speak(bar, 'skip this step'))
      bar.cues.splice(0)
      return bar
    }

    it('is walked from the first step to its score', () => {
      const bar = begun(number)
      for (const step of drill.steps) go(bar, step)
      expect(speaks(bar)).toContain('drill.done')
      expect(bar.entries('drill scored')).toMatchObject([{ drill: drill.id }])
      expect(bar.situation.drill).toBeUndefined()
    })

    it.each(drill.steps.map((_, index) => index))(
      'step %#: every steering word is open and answered',
      (index) => {
        const isLast = index + 1 === drill.steps.length
        const after = (text: string) => speaks(speak(inStep(index), text))
        expect(after('skip this step')).toContain(isLast ? 'drill.done' : instruction(index + 1))
        expect(after('back')).toContain(index === 0 ? 'drill.first-step' : instruction(index - 1))
        expect(after('where am i')).toEqual(expect.arrayContaining(['place.drill', instruction(index)]))
        expect(after('why').join()).toMatch(/why/)
        expect(after('what can i say')).toContain('help.drill')
        expect(after('end the drill')).toContain('drill.stopped')
        for (const again of ['repeat that', 'say that slower', 'spell it'])
          expect(after(again)).toEqual(['again'])
        // "next" goes on, or tells what the step waits for
        expect(after('next').join()).toMatch(/\.say|drill\.done/)
      },
    )

    it.each(drill.steps.map((_, index) => index))(
      'step %#: nothing that is open is met by silence',
      (index) => {
        const open = inStep(index).open
        const phrases = new Map<string, string>()
        for (const phrase of phrasesFor(english, open, 'no')) {
          const meaning = meaningOf(phrase, open)
          if (meaning && !phrases.has(meaning.intent)) phrases.set(meaning.intent, phrase)
        }
        expect(phrases.size).toBeGreaterThan(10)
        const unanswered = [...phrases.values()].filter((phrase) => {
          const bar = inStep(index)
          let isReportTold = false
          bar.bar.on('report', () => (isReportTold = true))
          return speak(bar, phrase).cues.length === 0 && !isReportTold
        })
        expect(unanswered).toEqual([])
      },
    )
  },
)
