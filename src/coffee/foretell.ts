import { covarianceWith, project } from './gaussian.ts'
import { effect, scatterAt, type GrinderBelief, type ObservedShot } from './grinderBelief.ts'
import { standardModel, type GrinderModel } from './grinderModel.ts'
import { pushOut, settingOf, turnTo } from './grounds.ts'
import type { NormalPart } from './normal.ts'
import { kindsOf } from './observe.ts'
import { carryForward, coldNoise, doseNoise, prepare } from './passage.ts'

/** The shot to be foretold: without the facts that are not known, at the setting where the grinder now is. */
export type NextShot = Pick<
  ObservedShot,
  'at' | 'notch' | 'recipe' | 'person' | 'dose' | 'yield' | 'air' | 'idle'
>

/** Where one filter of the bank expects the next shot, before the move is chosen. ln(time) = mean + slope x setting. */
interface Line {
  readonly weight: number
  readonly build: number
  readonly mean: number
  readonly variance: number
  readonly slope: number
  readonly slopeVariance: number
  readonly covariance: number
  readonly noise: number
}

/** All that is needed to foretell the next shot at any notch. */
export interface Outlooks {
  readonly lines: readonly Line[]
  /** ln(time) at a notch, supposing that the old grounds are cleared after a move */
  at(notch: number): readonly NormalPart[]
  /** setting, in notches from the origin, that a build has at a notch */
  settingAt(notch: number, build: number): number
}

/** Foretells the next shot, at any notch, from one look at the belief. @throws OutOfRange */
export function outlooksOf(
  known: GrinderBelief,
  shot: NextShot,
  model: GrinderModel = standardModel,
): Outlooks {
  const { belief, weights } = prepare(carryForward(known, shot, model), shot, model)
  const dose = shot.dose?.grams ?? shot.recipe?.dose ?? model.ordinaryDose
  const cold = coldNoise(shot.idle, model)
  const kinds = kindsOf(belief, model, { spraying: false, moved: false })
  const origin = belief.origin ?? shot.notch
  weights[effect.slope] = 0
  const size = belief.effects.length
  // filters that are all but ruled out would only cost time
  const open = belief.bank.filter(({ weight }) => weight > 1e-4)
  const total = open.reduce((sum, { weight }) => sum + weight, 0)
  const lines = open.map((member): Line => {
    const { mean, variance } = project(member.state, weights)
    return {
      weight: member.weight / total,
      build: member.build,
      mean,
      variance,
      slope: member.state.mean[effect.slope] ?? 0,
      slopeVariance: member.state.covariance[effect.slope * (size + 1)] ?? 0,
      covariance: covarianceWith(member.state, effect.slope, weights),
      noise: scatterAt(member, model) ** 2 + cold + (shot.dose ? 0 : doseNoise(belief, member.state, model)),
    }
  })
  const settingAt = (notch: number, build: number): number => {
    const grounds = belief.grounds[build]
    if (!grounds) return notch - origin
    const turned = turnTo(grounds, notch, model.builds[build] ?? { play: 0, holdUp: 0 })
    return settingOf(notch === shot.notch ? turned : pushOut(turned, model.purge), dose) - origin
  }
  return {
    lines,
    settingAt,
    at: (notch) => {
      const settings = model.builds.map((_, build) => settingAt(notch, build))
      const scale = (model.movePerNotch * (notch - shot.notch)) ** 2
      return lines.flatMap((line) => {
        const setting = settings[line.build] ?? 0
        const mean = line.mean + line.slope * setting
        const variance =
          line.variance +
          2 * line.covariance * setting +
          line.slopeVariance * setting ** 2 +
          scale +
          line.noise
        return kinds.map((kind) => ({
          weight: line.weight * kind.chance,
          mean: mean + kind.shift,
          deviation: Math.sqrt(variance + kind.noise + kind.jump),
        }))
      })
    },
  }
}

/** ln(time) of a shot pulled at a time and a setting, every explanation together. @throws OutOfRange */
export const foretell = (
  belief: GrinderBelief,
  shot: NextShot,
  model: GrinderModel = standardModel,
): readonly NormalPart[] =>
  outlooksOf(belief, { ...shot, notch: belief.notch ?? shot.notch }, model).at(shot.notch)
