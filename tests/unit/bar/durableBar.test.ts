import { enqueueActions } from 'xstate'
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { barActions } from '../../../src/bar/actions.ts'
import { barMachine } from '../../../src/bar/bar.machine.ts'
import { startDurableBar } from '../../../src/bar/durableBar.ts'
import { defaultSettings, situationOf, toEvent } from '../../../src/bar/index.ts'
import { loopActions } from '../../../src/bar/loop/actions.ts'
import { loopMachine } from '../../../src/bar/loop/loop.machine.ts'
import type { Command, Intent, Slots } from '../../../src/messages/command.ts'
import type { Cue } from '../../../src/messages/cue.ts'
import type { Entry } from '../../../src/messages/entry.ts'

type Actions = Record<string, unknown>

/** A machine in which one action throws as long as `fails` says so. */
function failing(room: 'bar' | 'loop', name: string, fails: () => boolean): typeof barMachine {
  const machine = room === 'bar' ? barMachine : loopMachine
  const original = (machine.implementations.actions as Actions)[name]
  const action = enqueueActions(({ enqueue }) => {
    if (fails()) throw new Error('a fault put in')
    enqueue(original as never)
  })
  return (
    room === 'bar'
      ? barMachine.provide({ actions: { [name]: action } as never })
      : barMachine.provide({
          actors: { loop: loopMachine.provide({ actions: { [name]: action } as never }) },
        })
  ) as typeof barMachine
}

/** A bar that is spoken to, and what came of it. */
function drive(machine: typeof barMachine, saved: Parameters<typeof startDurableBar>[0]['saved'] = null) {
  const aside: unknown[] = []
  let now = 1000
  const { bar, isRestored } = startDurableBar({
    input: { settings: defaultSettings, voices: 2, drills: [], now },
    saved,
    onSetAside: (state) => aside.push(state),
    machine,
  })
  const cues: Cue[] = []
  const log: Entry[] = []
  bar.on('cue', ({ cue }) => cues.push(cue))
  bar.on('entry', ({ entry }) => log.push(entry))
  const driver = {
    bar,
    isRestored,
    aside,
    log,
    kinds: () => log.map(({ kind }) => kind),
    place: () => situationOf(bar.getSnapshot()).place,
    said: () => cues.splice(0).flatMap((cue) => (cue.kind === 'say' ? [cue.sentence] : [])),
    wait(seconds: number) {
      for (let left = seconds; left > 0; left -= 0.5) bar.send({ type: 'tick', at: (now += 0.5) })
      return driver
    },
    say<I extends Intent>(intent: I, ...[slots]: Slots[I] extends null ? [] : [Slots[I]]) {
      now += 0.5
      const command = {
        intent,
        slots: slots ?? null,
        onset: now,
        end: now,
        confidence: 1,
        heard: intent,
        source: 'key',
      }
      bar.send(toEvent(command as unknown as Command))
      return driver
    },
  }
  return driver
}

type Driver = ReturnType<typeof drive>

/** A shift with a good shot that is served, an undo, a house recipe and a move of the grind. */
function shift(bar: Driver): void {
  bar.say('open shift').say('coffee', { number: 2 }).say('dose', { amount: 18 })
  bar.say('start pour').wait(19).say('stop pour').say('hand off', { into: 'milk', which: null })
  bar.say('look', { look: 'even' }).say('time was', { seconds: 20 }).say('why').say('status').say('undo')
  bar
    .say('grind by', { notches: 1 })
    .say('purged')
    .say('house recipe', { field: 'dose', amount: 19 })
    .say('hush')
  bar.say('start pour').wait(19).say('stop pour').wait(15)
  bar.say('end shift').say('yes')
}

beforeEach(() => void vi.spyOn(console, 'error').mockImplementation(() => undefined))
afterEach(() => void vi.restoreAllMocks())

describe('a bar in which something fails', () => {
  const seams = [
    ...Object.keys(barActions).map((name) => ['bar', name] as const),
    ...Object.keys(loopActions).map((name) => ['loop', name] as const),
  ]

  test.each(seams)('goes on when its %s fails once to %s, and a shift can be finished', (room, name) => {
    let failures = 0
    const bar = drive(failing(room, name, () => (failures += 1) === 1))
    // what was lost is said again, as anybody would
    shift(bar)
    shift(bar)
    expect(bar.place()).toBe('closed')
    expect(bar.kinds()).toContain('shift closed')
    expect(bar.kinds()).toContain('shot')
    expect(bar.log.filter(({ kind }) => kind === 'fault')).toHaveLength(failures > 0 ? 1 : 0)
    expect(bar.aside).toEqual([])
  })

  test('says so, logs it, and keeps the pour and the cups running', () => {
    let fails = false
    const bar = drive(failing('loop', 'why', () => fails))
    bar.say('open shift').say('start pour').wait(18).say('stop pour').say('start pour').wait(5)
    bar.said()
    const waiting = situationOf(bar.bar.getSnapshot()).waiting
    expect(waiting).toBe(1)
    fails = true
    bar.say('why')
    expect(bar.said()).toEqual(['trouble.bar-failed'])
    expect(bar.log.at(-1)).toMatchObject({ kind: 'fault', during: 'why', message: 'Error: a fault put in' })
    expect(bar.place()).toBe('pouring')
    expect(situationOf(bar.bar.getSnapshot()).waiting).toBe(1)
    fails = false
    bar.wait(13).say('stop pour')
    const shots = bar.log.flatMap((entry) => (entry.kind === 'shot' ? [entry.seconds] : []))
    expect(shots.map(Math.round)).toEqual([19, 19])
    expect(bar.kinds()).toContain('hand-off')
  })

  test('emits nothing of an event that fails half-way', () => {
    let fails = false
    const bar = drive(failing('bar', 'startClocks', () => fails))
    bar.say('open shift').say('start pour').wait(18)
    fails = true
    bar.say('stop pour')
    expect(bar.kinds()).not.toContain('shot')
    expect(bar.place()).toBe('pouring')
    fails = false
    bar.say('stop pour')
    expect(bar.kinds().filter((kind) => kind === 'shot')).toHaveLength(1)
  })

  test('sets a state aside from which not even the time can be told, and begins from the start', () => {
    let fails = false
    const bar = drive(failing('bar', 'spreadTime', () => fails))
    bar.say('open shift')
    bar.said()
    fails = true
    bar.wait(2.5)
    expect(bar.said()).toEqual(['trouble.bar-failed'])
    bar.wait(0.5)
    expect(bar.said()).toEqual(['trouble.state-lost'])
    expect(bar.aside).toHaveLength(1)
    expect(bar.place()).toBe('closed')
    fails = false
    bar.say('open shift')
    expect(bar.place()).not.toBe('closed')
  })

  test.each([
    ['is not one', { version: 3, at: 900, bar: { status: 'active' } }],
    ['is of a version to come', { version: 99, at: 900, bar: {} }],
  ])('sets a stored state aside that %s', (_name, stored) => {
    vi.spyOn(console, 'warn').mockImplementation(() => undefined)
    const bar = drive(barMachine, stored as never)
    expect(bar.isRestored).toBe(false)
    expect(bar.aside).toEqual([stored])
    shift(bar)
    expect(bar.kinds()).toContain('shift closed')
  })

  test('comes back from what it stored', () => {
    const bar = drive(barMachine)
    bar.say('open shift').say('start pour').wait(5)
    const again = drive(barMachine, JSON.parse(JSON.stringify(bar.bar.save(1010))) as never)
    expect(again.isRestored).toBe(true)
    expect(again.place()).toBe('pouring')
  })
})
