import { describe, expect, it } from 'vitest'
import screen from '../../../grammar/en/screen.json' with { type: 'json' }
import openTogether from '../../../grammar/openTogether.json' with { type: 'json' }
import { commandsOf } from '../../../grammar/check/commands.ts'
import { readLanguage } from '../../../grammar/readLanguage.ts'
import { controlFor, keyName, likelyNext } from '../../../src/app/controls/keys.ts'
import { controls, handOffControls, meaningsOf } from '../../../src/app/controls/controls.ts'
import { mayBeSaid, places, type Situation } from '../../../src/bar/index.ts'
import type { Meaning } from '../../../src/messages/command.ts'
import { grammarNames, type GrammarName } from '../../../src/messages/grammarName.ts'

/** A command with every number in it alike, since a number stands for all; which cup is chosen on its card. */
function kindOf({ intent, slots }: Meaning): string {
  const plain = Object.entries(slots ?? {}).map(([slot, value]) => {
    if (slot === 'which') return 'which'
    return `${slot}=${typeof value === 'number' ? '#' : String(value)}`
  })
  return [intent, ...plain.sort()].join(' ')
}

const kindsOf = (names: readonly GrammarName[]) =>
  new Set(
    names
      .flatMap((name) => controls[name])
      .flatMap(meaningsOf)
      .map(kindOf),
  )

const { commands } = commandsOf(readLanguage('en'))

describe('the controls', () => {
  it.each(grammarNames)('can press everything that may be said in the grammar "%s"', (name) => {
    const sayable = new Set(
      commands.filter(({ grammar }) => grammar === name).map(({ meaning }) => kindOf(meaning)),
    )
    const pressable = kindsOf([name])
    expect([...sayable].filter((kind) => !pressable.has(kind))).toEqual([])
  })

  it.each(grammarNames)('press nothing that may not be said in the grammar "%s"', (name) => {
    const sayable = new Set(
      commands.filter(({ grammar }) => grammar === name).map(({ meaning }) => kindOf(meaning)),
    )
    expect([...kindsOf([name])].filter((kind) => !sayable.has(kind))).toEqual([])
  })

  it('give each key one meaning among those that are open together', () => {
    const clashes = openTogether.sets.flatMap((set) => {
      const byKey = new Map<string, string>()
      return set
        .flatMap((name) => controls[name as GrammarName])
        .flatMap(({ key, label }) => {
          const other = byKey.get(key)
          byKey.set(key, label)
          return other === undefined || other === label ? [] : [`${key}: ${other} and ${label}`]
        })
    })
    expect(clashes).toEqual([])
  })

  it('name every cup, and all of them', () => {
    for (const which of ['first', 'second', 'third', 'last', 'all', null] as const)
      expect(
        handOffControls(which)
          .flatMap(meaningsOf)
          .map(({ slots }) => slots),
      ).toContainEqual({
        into: 'oat milk',
        which,
      })
  })

  it('leave no key of the space bar or of leaving the page to a command', () => {
    const keys = Object.values(controls)
      .flat()
      .map(({ key }) => key)
    for (const taken of ['Space', 'Tab', 'Escape', 'F5']) expect(keys).not.toContain(taken)
  })

  it('have a text for each label', () => {
    const labels = Object.values(controls)
      .flat()
      .flatMap((control) => [
        control.label,
        ...(control.kind === 'choose' ? control.options.map(({ label }) => label) : []),
        ...(control.kind === 'number' ? control.answers.map(({ label }) => label) : []),
      ])
    expect(labels.filter((label) => !(label in screen))).toEqual([])
  })
})

describe('the most likely next thing', () => {
  const calm: Situation = { place: 'grind', listening: 'on', asking: 'nothing', waiting: 0 }

  it.each(places)('may be said where it is pressed: %s', (place) => {
    const situation = { ...calm, place }
    const open = mayBeSaid(situation)
    const control = likelyNext(situation, 'milk')
    expect(open.some((name) => controls[name].includes(control))).toBe(true)
  })

  it('hands a waiting cup off before anything but a pour', () => {
    const handOff = { kind: 'say', meaning: { intent: 'hand off', slots: { into: 'syrup', which: null } } }
    expect(likelyNext({ ...calm, place: 'judge', waiting: 1 }, 'syrup')).toMatchObject(handOff)
    expect(likelyNext({ ...calm, place: 'pouring', waiting: 1 }, 'syrup')).toMatchObject({
      meaning: { intent: 'stop pour' },
    })
  })

  it('never says yes to what cannot be undone', () => {
    expect(likelyNext({ ...calm, asking: 'confirming' }, 'milk')).toMatchObject({ meaning: { intent: 'no' } })
  })

  it('purges before the grind that was set is used', () => {
    expect(likelyNext(calm, 'milk', false)).toMatchObject({ meaning: { intent: 'purged' } })
    expect(likelyNext({ ...calm, place: 'judge' }, 'milk', false)).toMatchObject({
      meaning: { intent: 'next' },
    })
  })

  it('listens again when paused', () => {
    expect(likelyNext({ ...calm, listening: 'paused' }, 'milk')).toMatchObject({
      meaning: { intent: 'resume listening' },
    })
  })

  it('pulls in a drill that waits for a pour, and ends it', () => {
    expect(likelyNext({ ...calm, drill: ['drill', 'ready'] }, 'milk')).toMatchObject({
      meaning: { intent: 'start pour' },
    })
    expect(likelyNext({ ...calm, drill: ['pouring'] }, 'milk')).toMatchObject({
      meaning: { intent: 'stop pour' },
    })
  })
})

describe('keys', () => {
  it('are the same on the number block', () => {
    expect(keyName({ code: 'Numpad3', shiftKey: false })).toBe('Digit3')
    expect(keyName({ code: 'NumpadEnter', shiftKey: true })).toBe('Shift+Enter')
  })

  it('fall back to the plain key when Shift has no meaning of its own', () => {
    const open = controls.talk
    expect(controlFor('Shift+Equal', open)?.label).toBe('control.louder')
    expect(controlFor('Shift+KeyR', open)?.label).toBe('control.slower')
    expect(controlFor('KeyZ', open)).toBeUndefined()
  })
})
