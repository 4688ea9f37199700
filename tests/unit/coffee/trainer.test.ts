import { describe, expect, it } from 'vitest'
import {
  advise,
  beginBelief,
  judge,
  nextStep,
  observeShot,
  standardRecipes,
  steadiness,
  type ActionKind,
  type Look,
  type Taste,
} from '../../../src/coffee/index.ts'
import written from './trainerSituations.json'

interface TrainerSituation {
  readonly situation: string
  readonly window: number[]
  /** seconds of the shots before, at the same notch */
  readonly before: number[]
  readonly seconds: number
  readonly looks: Look[]
  readonly tastes: Taste[]
  readonly beanAge?: number
  readonly firstDrip?: number
  readonly handOff: 'running' | 'served' | 'expired'
  readonly oldGrounds: boolean
  readonly action: ActionKind
  readonly serve: boolean
  readonly why: string
}

const situations = written as TrainerSituation[]
const notch = 15
const secondsBetweenShots = 60

/** What the tool answers, the way the bar asks: belief, judgement, advice, next step. */
function answered(situation: TrainerSituation) {
  const [opens = 0, closes = 0] = situation.window
  const recipe = { ...standardRecipes.double, window: { opens, closes } }
  const times = [...situation.before, situation.seconds]
  const belief = times.reduce(
    (so, seconds, index) =>
      observeShot(so, {
        seconds,
        notch,
        at: index * secondsBetweenShots,
        purged: !(situation.oldGrounds && index === times.length - 1),
        looks: index === times.length - 1 ? situation.looks : [],
      }),
    beginBelief(0),
  )
  const { beanAge, firstDrip } = situation
  const judgement = judge({
    seconds: situation.seconds,
    window: recipe.window,
    looks: situation.looks,
    tastes: situation.tastes,
    steadiness: steadiness(belief),
    grind: situation.oldGrounds ? 'mixed' : 'settled',
    handOff: situation.handOff,
    ...(beanAge !== undefined && { beanAge }),
    ...(firstDrip !== undefined && { firstDrip }),
  })
  return nextStep(
    judgement,
    advise(belief, recipe, { at: times.length * secondsBetweenShots, notch, largerMoves: false }),
  )
}

describe('sixty situations, judged by a trainer before the table was looked at (common practice)', () => {
  it('are sixty', () => {
    expect(new Set(situations.map(({ situation }) => situation)).size).toBe(60)
  })

  it('agrees on at least 54 of them, and on every cup that must not be served', () => {
    const apart = situations.flatMap((situation) => {
      const { action, serve, reason } = answered(situation)
      return action === situation.action && serve === situation.serve
        ? []
        : [
            `${situation.situation} trainer: ${situation.action}, ${situation.serve}; tool: ${action}, ${serve}, ${reason}`,
          ]
    })
    expect(situations.length - apart.length, apart.join('\n')).toBeGreaterThanOrEqual(54)
    for (const situation of situations)
      expect(answered(situation).serve, situation.situation).toBe(situation.serve)
  })
})
