import { absorb, cutBelow, type Gaussian, type Way } from './gaussian.ts'
import {
  checkShot,
  effect,
  scatterAt,
  type GrinderBelief,
  type Member,
  type ObservedShot,
  type Order,
} from './grinderBelief.ts'
import { standardModel, type GrinderModel } from './grinderModel.ts'
import { oldShare, pushOut, settingOf, type Grounds } from './grounds.ts'
import { carryForward, coldNoise, doseNoise, prepare } from './passage.ts'

/** The name under which shots are kept whose recipe was not given. */
export const anyRecipe = 'any'

/** How many shots are kept to be drawn. */
const recentKept = 30

/** Old grounds that moved a time by less than this, in ln(time), did not matter. */
const noticeable = 0.04

/** A way in which a shot can have come about, apart from the build of the grinder. */
interface Kind {
  readonly kind: 'grind' | 'fast' | 'slow' | 'jump'
  readonly chance: number
  readonly shift: number
  readonly noise: number
  readonly jump: number
}

/** The ways in which a time comes about: by the grind, as a freak, or by a lasting change. */
export function kindsOf(
  { freaks }: GrinderBelief,
  model: GrinderModel,
  { spraying, moved }: { readonly spraying: boolean; readonly moved: boolean },
): readonly Kind[] {
  const fast = spraying
    ? Math.max(model.fast.chanceIfSpraying, freaks.fast / freaks.shots)
    : freaks.fast / freaks.shots
  const slow = (freaks.slow / freaks.shots) * (1 - fast)
  const jump = moved ? model.jump.chanceAfterMove : model.jump.chance
  const plain = { shift: 0, noise: 0, jump: 0 }
  const kinds: readonly Kind[] = [
    { kind: 'grind', chance: 1 - fast - slow - jump, ...plain },
    { kind: 'fast', chance: fast, shift: model.fast.shift, noise: model.fast.deviation ** 2, jump: 0 },
    { kind: 'slow', chance: slow, shift: model.slow.shift, noise: model.slow.deviation ** 2, jump: 0 },
    { kind: 'jump', chance: jump, ...plain, jump: model.jump.deviation ** 2 },
  ]
  return kinds.filter(({ chance }) => chance > 0)
}

/** The grounds for one build, with the chance of each way that they may have been cleared. */
interface Clearing {
  readonly chance: number
  readonly cleared: boolean
  readonly grounds: Grounds
}

function clearingsOf(
  belief: GrinderBelief,
  grounds: Grounds,
  purged: boolean,
  model: GrinderModel,
): readonly Clearing[] {
  if (purged || grounds.old === 0) return [{ chance: 1, cleared: false, grounds }]
  const chance = belief.unsaidPurge
  return [
    { chance: 1 - chance, cleared: false, grounds },
    { chance, cleared: true, grounds: pushOut(grounds, model.purge) },
  ]
}

/** Each barista's weights of the scatters: put away those of the last hand and take those of the next. */
function changeHands(belief: GrinderBelief, person: number | undefined, model: GrinderModel): GrinderBelief {
  if (person === undefined || person === belief.person) return belief
  const sums = new Array<number>(model.scatters.length).fill(0)
  for (const { scatter, weight } of belief.bank) sums[scatter] = (sums[scatter] ?? 0) + weight
  const hands = belief.person === null ? belief.hands : { ...belief.hands, [belief.person]: sums }
  // whoever is first named is taken to have pulled what came before
  const next = hands[person] ?? (belief.person === null ? sums : model.scatters.map(({ weight }) => weight))
  const bank = normalised(
    belief.bank.map((member) => ({
      ...member,
      weight: (member.weight * (next[member.scatter] ?? 0)) / Math.max(sums[member.scatter] ?? 0, 1e-12),
    })),
  )
  return { ...belief, person, hands, bank }
}

function normalised(bank: readonly Member[]): readonly Member[] {
  const total = bank.reduce((sum, { weight }) => sum + weight, 0)
  return bank.map((member) => ({ ...member, weight: member.weight / total }))
}

function mixWith(mix: readonly Order[], order: Omit<Order, 'share'>, weight: number): readonly Order[] {
  const faded = mix.map((each) => ({ ...each, share: each.share * (1 - weight) }))
  const place = faded.findIndex(({ recipe, person }) => recipe === order.recipe && person === order.person)
  const own = faded[place]
  if (!own) return [...faded, { ...order, share: weight }].filter(({ share }) => share > 0.01)
  return faded.map((each, index) => (index === place ? { ...own, share: own.share + weight } : each))
}

/**
 * The belief after one more shot. Old grounds in its dose are allowed for: a purge that was not said may have been done, and
 * a full dose through the grinder clears it.
 * @throws OutOfRange for an impossible time, notch, dose, yield or air, or a shot earlier than the last event
 */
export function observeShot(
  known: GrinderBelief,
  shot: ObservedShot,
  model: GrinderModel = standardModel,
): GrinderBelief {
  checkShot(shot)
  const moved = known.notch !== null && known.notch !== shot.notch
  const forward = carryForward(changeHands(known, shot.person, model), shot, model)
  const placed =
    moved && shot.purged
      ? { ...forward, grounds: forward.grounds.map((grounds) => pushOut(grounds, model.purge)) }
      : forward
  const { belief: before, weights } = prepare(placed, shot, model)
  const dose = shot.dose?.grams ?? shot.recipe?.dose ?? model.ordinaryDose
  const logTime = Math.log(shot.seconds)
  const origin = before.origin ?? shot.notch
  const kinds = kindsOf(before, model, { spraying: shot.looks?.includes('spraying') ?? false, moved })
  const cold = coldNoise(shot.idle, model)

  const builds = before.grounds.map((grounds) =>
    clearingsOf(before, grounds, shot.purged, model).flatMap((clearing) => {
      const setting = settingOf(clearing.grounds, dose)
      const own = [...weights]
      own[effect.slope] = setting - origin
      return kinds.map((kind) => ({
        kind,
        cleared: clearing.cleared,
        share: oldShare(clearing.grounds, dose),
        off: setting - clearing.grounds.burrs,
        chance: clearing.chance * kind.chance,
        weights: own,
      }))
    }),
  )
  let foretold = 0
  const learnt = before.bank.map((member) => {
    const noise =
      scatterAt(member, model) ** 2 + cold + (shot.dose ? 0 : doseNoise(before, member.state, model))
    const open = builds[member.build] ?? []
    const ways = open.map(({ kind, chance, weights }): Way => ({
      chance,
      weights,
      shift: kind.shift,
      noise: noise + kind.noise,
      ...(kind.jump > 0 && { jump: { index: effect.drift, variance: kind.jump } }),
    }))
    const mean = member.state.mean
    foretold +=
      member.weight *
      (open[0]?.weights.reduce((sum, weight, index) => sum + weight * (mean[index] ?? 0), 0) ?? 0)
    const { state, likelihood, chances } = absorb(member.state, logTime, ways)
    return { member, open, chances, likelihood, state: cutBelow(state, effect.slope, model.slopeFloor) }
  })
  const joint = learnt.map(({ member, likelihood }) => member.weight ** model.memory * likelihood)
  const total = joint.reduce((sum, value) => sum + value, 0)
  const bank = learnt.map(({ member, state }, index) => ({
    ...member,
    state,
    weight: (joint[index] ?? 0) / total,
  }))

  const sums = { fast: 0, slow: 0, cleared: 0, share: 0, bias: 0, effects: 0 }
  learnt.forEach(({ open, chances, state }, index) => {
    const weight = (joint[index] ?? 0) / total
    sums.effects += weight * effectsIn(before, state, open[0]?.weights ?? [])
    open.forEach(({ kind, cleared, share, off }, way) => {
      const chance = weight * (chances[way] ?? 0)
      if (kind.kind === 'fast') sums.fast += chance
      if (kind.kind === 'slow') sums.slow += chance
      if (cleared) sums.cleared += chance
      sums.share += chance * share
      sums.bias += chance * Math.abs(off * (state.mean[effect.slope] ?? 0))
    })
  })
  const recipe = shot.recipe?.name ?? anyRecipe
  const faultChance = sums.fast + sums.slow
  const asked = !shot.purged && before.grounds.some(({ old }) => old > 0)
  const fade = 1 - 1 / (4 * model.freakMemory)
  return {
    ...before,
    bank,
    grounds: before.grounds.map((grounds) => pushOut(grounds, dose)),
    warmth: before.warmth + 1,
    learnt: before.learnt + 1,
    last: {
      seconds: shot.seconds,
      recipe,
      foretold: Math.exp(foretold),
      faultChance,
      effects: sums.effects,
      oldShare: sums.share,
      mixed: sums.bias > noticeable,
    },
    recipes: shot.recipe
      ? { ...before.recipes, [recipe]: { dose: shot.recipe.dose, window: shot.recipe.window } }
      : before.recipes,
    firstRecipe: before.firstRecipe ?? shot.recipe?.name ?? null,
    mix: mixWith(
      before.mix,
      { recipe, person: shot.person ?? null },
      1 / Math.min(before.learnt + 1, model.mixMemory),
    ),
    freaks: {
      fast: before.freaks.fast * fade + sums.fast,
      slow: before.freaks.slow * fade + sums.slow,
      shots: before.freaks.shots * fade + 1,
    },
    unsaidPurge: asked
      ? before.unsaidPurge + (sums.cleared - before.unsaidPurge) / model.unsaidPurge.memory
      : before.unsaidPurge,
    doses: shot.dose
      ? doseLearnt(before.doses, shot.dose.grams / shot.dose.recipeGrams, model)
      : before.doses,
    recent: [
      ...before.recent.slice(1 - recentKept),
      { notch: shot.notch, seconds: shot.seconds, recipe, fault: faultChance },
    ],
  }
}

/** Effects that are not of the coffee, the burrs' warmth or the air. */
function effectsIn({ effects }: GrinderBelief, { mean }: Gaussian, weights: readonly number[]): number {
  const kept = (name: string): boolean =>
    !['level', 'heat', 'drift', 'rate', 'temperature', 'humidity'].includes(name)
  return effects.reduce(
    (sum, name, index) => sum + (kept(name) ? (weights[index] ?? 0) * (mean[index] ?? 0) : 0),
    0,
  )
}

function doseLearnt({ count, mean, variance }: GrinderBelief['doses'], ratio: number, model: GrinderModel) {
  const off = Math.log(ratio) - mean
  const kept = Math.min(count, 30)
  return {
    count: count + 1,
    mean: mean + off / (kept + 2),
    variance:
      variance + ((off * off * (kept + 1)) / (kept + 2) - variance) / (kept + model.doseScatter.memory),
  }
}

/**
 * The belief after old grounds were cleared at a setting; `grams` run through, when it is known how many.
 * @throws OutOfRange
 */
export function observePurge(
  belief: GrinderBelief,
  purge: { readonly notch: number; readonly at: number; readonly grams?: number },
  model: GrinderModel = standardModel,
): GrinderBelief {
  const grams = purge.grams ?? model.purge
  const after = carryForward(belief, purge, model)
  return {
    ...after,
    grounds: after.grounds.map((grounds) => pushOut(grounds, grams)),
    warmth: after.warmth + grams / model.ordinaryDose,
  }
}
