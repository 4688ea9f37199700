import { withNoise } from './gaussian.ts'
import { checkTime, effect, type GrinderBelief, type Member } from './grinderBelief.ts'
import { standardModel, type CarryOver, type GrinderModel } from './grinderModel.ts'
import { groundsAt } from './grounds.ts'

/**
 * The belief on a new day, at a new bag or for another coffee: what the grinder does is kept, where it stands is less
 * sure. Drift since the day began becomes part of the level. @throws OutOfRange
 */
export function carryOver(
  belief: GrinderBelief,
  to: CarryOver,
  at: number,
  model: GrinderModel = standardModel,
): GrinderBelief {
  checkTime(at, belief.at)
  const more = model.carry[to]
  const bank = belief.bank.map((member) => {
    const { mean, covariance } = foldDrift(member.state, model)
    const state = withNoise(
      { mean, covariance },
      {
        [effect.level]: more.level ** 2,
        [effect.slope]: more.slope ** 2,
        [effect.heat]: more.heat ** 2,
      },
    )
    return { ...member, state }
  })
  return {
    ...belief,
    bank,
    at,
    warmth: belief.warmth * Math.exp((belief.at - at) / model.coolingTime),
    last: null,
    recent: [],
    // another coffee: other beans in the hopper, ground before anything is pulled
    grounds: to === 'new coffee' ? belief.grounds.map(({ burrs }) => groundsAt(burrs)) : belief.grounds,
  }
}

/** level + drift as the new level, no drift, and a rate of which nothing is known. */
function foldDrift({ mean, covariance }: Member['state'], model: GrinderModel): Member['state'] {
  const size = mean.length
  const { level, drift, rate } = effect
  const weights = mean.map((_, row) => {
    const own = new Array<number>(size).fill(0)
    if (row !== drift && row !== rate) own[row] = 1
    if (row === level) own[drift] = 1
    return own
  })
  const folded = new Array<number>(size * size).fill(0)
  for (let row = 0; row < size; row += 1)
    for (let column = 0; column < size; column += 1) {
      let sum = 0
      for (let i = 0; i < size; i += 1)
        for (let j = 0; j < size; j += 1)
          sum += (weights[row]?.[i] ?? 0) * (covariance[i * size + j] ?? 0) * (weights[column]?.[j] ?? 0)
      folded[row * size + column] = sum
    }
  folded[rate * (size + 1)] = model.rate.deviation ** 2
  return {
    mean: weights.map((own) => own.reduce((sum, weight, index) => sum + weight * (mean[index] ?? 0), 0)),
    covariance: folded,
  }
}
