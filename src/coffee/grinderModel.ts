/**
 * What the adviser takes for granted about grinders before it has seen one shot. All in ln(time): 0.1 is about
 * ten percent of the time. The figures are common practice and judgement, from memory, checked only by how well
 * the adviser does on the simulated bench (`npm run bench -- adviser`).
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
  /** per ln(dose / recipe dose) */
  readonly dose: Prior
  /** standard deviation of the drift after one hour; it grows with the root of time */
  readonly driftPerRootHour: number
  /** what a move adds to the uncertainty, per notch moved: backlash, and a scale that is not quite even */
  readonly movePerNotch: number
  /** seconds in which the warmth of one dose fades to 37 % */
  readonly coolingTime: number
  /** shot-to-shot scatters thought possible, and how likely each is */
  readonly scatters: readonly { readonly scatter: number; readonly weight: number }[]
  /** how much of what is known of the scatter is kept from shot to shot, 0 to 1 */
  readonly scatterMemory: number
  /** a freak of technique, mostly water breaking through: how likely, how far it moves the time, how widely */
  readonly fault: {
    readonly chance: number
    readonly chanceIfSpraying: number
    readonly shift: number
    readonly deviation: number
  }
  /** a sudden lasting change (a knocked collar, another hopper): how likely, how widely */
  readonly jump: { readonly chance: number; readonly deviation: number }
  /** added to the standard deviation of level and slope when things change */
  readonly carry: Readonly<
    Record<CarryOver, { readonly level: number; readonly slope: number; readonly heat: number }>
  >
}

interface Prior {
  readonly mean: number
  readonly deviation: number
}

/** What has changed since the last shot. */
export type CarryOver = 'new day' | 'new bag' | 'new coffee' | 'new recipe'

export const standardModel: GrinderModel = {
  level: { mean: Math.log(20), deviation: 0.8 },
  slope: { mean: 0.12, deviation: 0.05 },
  slopeFloor: 0.01,
  heat: { mean: 0, deviation: 0.06 },
  temperature: { mean: 0, deviation: 0.005 },
  humidity: { mean: 0, deviation: 0.002 },
  dose: { mean: 1.2, deviation: 0.5 },
  driftPerRootHour: 0.05,
  movePerNotch: 0.015,
  coolingTime: 900,
  scatters: [
    { scatter: 0.03, weight: 0.15 },
    { scatter: 0.045, weight: 0.3 },
    { scatter: 0.065, weight: 0.3 },
    { scatter: 0.095, weight: 0.18 },
    { scatter: 0.14, weight: 0.07 },
  ],
  scatterMemory: 0.98,
  fault: { chance: 0.03, chanceIfSpraying: 0.6, shift: -0.3, deviation: 0.25 },
  jump: { chance: 0.01, deviation: 0.25 },
  carry: {
    'new day': { level: 0.1, slope: 0.005, heat: 0.01 },
    'new bag': { level: 0.2, slope: 0.015, heat: 0.02 },
    'new coffee': { level: 0.5, slope: 0.025, heat: 0.03 },
    'new recipe': { level: 0.5, slope: 0.025, heat: 0.03 },
  },
}
