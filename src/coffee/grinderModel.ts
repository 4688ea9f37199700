/**
 * What the adviser takes for granted about grinders before it has seen one shot. All in ln(time): 0.1 is about
 * ten percent of the time. The figures are common practice and judgement, from memory, checked only by how well
 * the adviser does on simulated bars that share nothing with it (`npm run bench -- adviser`).
 */
export interface GrinderModel {
  /** prior of each effect: mean and standard deviation */
  readonly level: Prior
  /** per notch finer */
  readonly slope: Prior
  /** a notch finer never makes a shot faster: least slope thought possible */
  readonly slopeFloor: number
  /** from a cold grinder to one that has just ground ten doses; which way it goes differs between grinders */
  readonly heat: Prior
  /** per degree Celsius above 20 */
  readonly temperature: Prior
  /** per percent of relative humidity above 50 */
  readonly humidity: Prior
  /** per ln(dose / recipe dose): common practice has a gram of 18 worth 2 to 4 s of 20 */
  readonly dose: Prior
  /** per ln(yield / recipe yield) */
  readonly yield: Prior
  /** of a recipe against the first one on the same grinder; its mean is where both windows share a notch */
  readonly recipe: { readonly deviation: number }
  /** of a barista's hand against the house's */
  readonly hand: { readonly deviation: number }
  /** drift that comes at random: its standard deviation after one hour; it grows with the root of time */
  readonly driftPerRootHour: number
  /** drift that keeps on one way: standard deviation of its rate, per hour, and how long it lasts, hours */
  readonly rate: { readonly deviation: number; readonly hours: number }
  /** what a move adds to the uncertainty, per notch moved: a scale that is not quite even */
  readonly movePerNotch: number
  /** seconds in which the warmth of one dose fades to 37 % */
  readonly coolingTime: number
  /** what a shot through a cold group tells of the grind: the noise it adds, and after how many idle seconds it is cold */
  readonly cold: { readonly deviation: number; readonly from: number; readonly full: number }
  /** shot-to-shot scatters thought possible, and how likely each is */
  readonly scatters: readonly { readonly scatter: number; readonly weight: number }[]
  /** how grinders differ: play of the collar (notches), grounds held up in the chute (grams), scale, and how likely each is */
  readonly builds: readonly Build[]
  /** grams that clearing the old grounds runs through: two to three seconds of grinding, common practice */
  readonly purge: number
  /** grams of a dose when no recipe is known */
  readonly ordinaryDose: number
  /** how much of what is known of scatter and build is kept from shot to shot, 0 to 1 */
  readonly memory: number
  /** freaks: water breaking through, and an overfilled basket or a blocked screen */
  readonly fast: Freak & { readonly chanceIfSpraying: number }
  readonly slow: Freak
  /** shots' worth of belief in the chances of freaks */
  readonly freakMemory: number
  /** a sudden lasting change (a knocked collar, another hopper): how likely, how much likelier after a move, how widely */
  readonly jump: { readonly chance: number; readonly chanceAfterMove: number; readonly deviation: number }
  /** shots' worth of belief that a purge was done though not said, and the chance of it to begin with */
  readonly unsaidPurge: { readonly chance: number; readonly memory: number }
  /** scatter of the dose, as a part of it, until some doses were said; and how many of them it is worth */
  readonly doseScatter: { readonly deviation: number; readonly memory: number }
  /** shots in which the mix of orders and hands fades to 37 % */
  readonly mixMemory: number
  /** added to the standard deviation of level and slope when things change */
  readonly carry: Readonly<
    Record<CarryOver, { readonly level: number; readonly slope: number; readonly heat: number }>
  >
}

interface Prior {
  readonly mean: number
  readonly deviation: number
}

interface Freak {
  readonly chance: number
  /** how far it moves the time, and how widely */
  readonly shift: number
  readonly deviation: number
}

interface Build {
  readonly play: number
  readonly holdUp: number
  readonly weight: number
  /** of a scale that is not the ordinary one: very coarse, or very fine */
  readonly slope?: Prior
}

/** What has changed since the last shot. */
export type CarryOver = 'new day' | 'new bag' | 'new coffee'

export const standardModel: GrinderModel = {
  level: { mean: Math.log(22), deviation: 1.2 },
  slope: { mean: 0.12, deviation: 0.05 },
  slopeFloor: 0.01,
  heat: { mean: 0, deviation: 0.06 },
  temperature: { mean: 0, deviation: 0.005 },
  humidity: { mean: 0, deviation: 0.002 },
  dose: { mean: 2.2, deviation: 0.7 },
  yield: { mean: 0.95, deviation: 0.2 },
  recipe: { deviation: 0.25 },
  hand: { deviation: 0.08 },
  driftPerRootHour: 0.04,
  rate: { deviation: 0.05, hours: 3 },
  movePerNotch: 0.012,
  coolingTime: 900,
  cold: { deviation: 0.3, from: 600, full: 1500 },
  scatters: [
    { scatter: 0.03, weight: 0.15 },
    { scatter: 0.045, weight: 0.3 },
    { scatter: 0.065, weight: 0.3 },
    { scatter: 0.095, weight: 0.16 },
    { scatter: 0.14, weight: 0.07 },
    { scatter: 0.2, weight: 0.02 },
  ],
  builds: [
    { play: 0, holdUp: 2, weight: 0.36 },
    { play: 0, holdUp: 6, weight: 0.16 },
    { play: 0, holdUp: 12, weight: 0.08 },
    { play: 1, holdUp: 2, weight: 0.1 },
    { play: 1, holdUp: 6, weight: 0.08 },
    { play: 2, holdUp: 3, weight: 0.06 },
    { play: 0, holdUp: 2, weight: 0.08, slope: { mean: 0.3, deviation: 0.1 } },
    { play: 0, holdUp: 2, weight: 0.08, slope: { mean: 0.03, deviation: 0.015 } },
  ],
  purge: 3,
  ordinaryDose: 18,
  memory: 0.985,
  fast: { chance: 0.02, chanceIfSpraying: 0.6, shift: -0.3, deviation: 0.25 },
  slow: { chance: 0.012, shift: 0.28, deviation: 0.15 },
  freakMemory: 40,
  jump: { chance: 0.007, chanceAfterMove: 0.025, deviation: 0.2 },
  unsaidPurge: { chance: 0.5, memory: 6 },
  doseScatter: { deviation: 0.015, memory: 4 },
  mixMemory: 15,
  carry: {
    'new day': { level: 0.1, slope: 0.005, heat: 0.01 },
    'new bag': { level: 0.2, slope: 0.015, heat: 0.02 },
    'new coffee': { level: 0.5, slope: 0.025, heat: 0.03 },
  },
}
