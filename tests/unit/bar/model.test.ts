import { describe, expect, it } from 'vitest'
import type { GrammarName } from '../../../src/messages/grammarName.ts'
import type { Intent, Slots } from '../../../src/messages/command.ts'
import { driveBar } from './driveBar.ts'

type Step = (bar: ReturnType<typeof driveBar>) => void
const say =
  <I extends Intent>(intent: I, ...slots: Slots[I] extends null ? [] : [Slots[I]]): Step =>
  (bar) =>
    bar.say(intent, ...slots)

/** One command of each kind that a grammar lets be said: what the model walks along. */
const sayable: Partial<Record<GrammarName, Record<string, Step>>> = {
  stop: { 'stop pour': say('stop pour') },
  talk: { undo: say('undo'), 'pause listening': say('pause listening') },
  confirm: { yes: say('yes'), no: say('no') },
  paused: { 'resume listening': say('resume listening') },
  shift: {
    'open shift': say('open shift'),
    'end shift': say('end shift'),
    triple: say('recipe', { recipe: 'triple' }),
    settings: say('settings'),
  },
  grind: { purged: say('purged'), next: say('next'), finer: say('grind by', { notches: 1 }) },
  dose: { dose: say('dose', { amount: 18 }), next: say('next') },
  tamp: { next: say('next') },
  ready: { start: say('start pour') },
  judge: { look: say('look', { look: 'gushing' }), next: say('next') },
  adjust: { 'leave it': say('leave it'), next: say('next'), coarser: say('grind by', { notches: -1 }) },
  handoff: { milk: say('hand off', { into: 'milk', which: null }), discard: say('discard', { which: null }) },
  settings: { 'learn pedal': say('learn pedal'), 'model back': say('model back'), next: say('next') },
}
/** Time is an event too: the pour gets long enough to count, a cup expires. */
const time: Record<string, Step> = {
  'six seconds': (bar) => bar.wait(6),
  'twelve seconds': (bar) => bar.wait(12),
}

/** What distinguishes one situation from another, whatever the numbers are. */
const key = (bar: ReturnType<typeof driveBar>) => {
  const { place, listening, asking, waiting } = bar.situation
  const { pours, undo, purged } = bar.loop
  const start = pours.at(-1)?.start
  const length = start === undefined ? 0 : Math.min(2, Math.floor((bar.now - start) / 6))
  return `${place} ${listening} ${asking} ${Math.min(waiting, 1)} ${place === 'pouring' ? length : ''} ${undo.length > 0} ${purged}`
}

/**
 * Walks breadth first from a closed bar along everything that may be said, and keeps for each situation the
 * shortest way there. It replays the real machine: nothing is modelled apart from it.
 */
function explore(most: number) {
  const ways = new Map<string, { steps: Step[]; names: string[]; leads: Map<string, string> }>()
  const replay = (steps: Step[]) => {
    const bar = driveBar()
    for (const step of steps) step(bar)
    return bar
  }
  const queue = [{ steps: [] as Step[], names: [] as string[] }]
  while (queue.length > 0 && ways.size < most) {
    const way = queue.shift()
    if (!way) break
    const bar = replay(way.steps)
    const here = key(bar)
    if (ways.has(here)) continue
    const leads = new Map<string, string>()
    ways.set(here, { ...way, leads })
    const moves = Object.entries({
      ...Object.assign({}, ...bar.open.map((name) => sayable[name] ?? {})),
      ...time,
    })
    for (const [name, step] of moves as [string, Step][]) {
      const next = replay([...way.steps, step])
      leads.set(name, key(next))
      if (!ways.has(key(next))) queue.push({ steps: [...way.steps, step], names: [...way.names, name] })
    }
  }
  return ways
}

describe('the bar as a graph', () => {
  const ways = explore(400)

  it('reaches every place, by voice and time alone', () => {
    const places = new Set([...ways.keys()].map((situation) => situation.split(' ')[0]))
    expect([...places].sort()).toEqual(
      ['adjust', 'closed', 'dose', 'grind', 'judge', 'pouring', 'ready', 'tamp'].sort(),
    )
    const all = [...ways.keys()].join('\n')
    for (const part of ['paused', 'confirming', 'learning', 'setting']) expect(all).toContain(part)
  })

  it('has no dead end: from every situation there is a way by voice back to a closed shift', () => {
    const leadsHome = new Set(
      [...ways.keys()].filter((situation) => situation.startsWith('closed on nothing')),
    )
    for (let grown = true; grown;) {
      grown = false
      for (const [situation, { leads }] of ways)
        if (!leadsHome.has(situation) && [...leads.values()].some((next) => leadsHome.has(next))) {
          leadsHome.add(situation)
          grown = true
        }
    }
    expect([...ways.keys()].filter((situation) => !leadsHome.has(situation))).toEqual([])
  })

  it('answers help and status aloud everywhere it listens', () => {
    for (const { steps } of ways.values()) {
      const bar = driveBar()
      for (const step of steps) step(bar)
      if (bar.situation.listening !== 'on') continue
      bar.said()
      bar.say('help')
      expect(bar.said().length, `help in ${bar.place}`).toBeGreaterThan(0)
      bar.say('status')
      expect(bar.said().length, `status in ${bar.place}`).toBeGreaterThan(0)
    }
  })

  it('survives a reload in every situation', () => {
    for (const [situation, { steps }] of ways) {
      const bar = driveBar()
      for (const step of steps) step(bar)
      const before = bar.situation
      bar.reload(0.1)
      expect(bar.situation, situation).toEqual(before)
    }
  })
})
