/**
 * How one bench differs from another. The figures of an ordinary bench, below, are from memory and rules of thumb
 * of the trade, except where a source is named.
 */
export interface BenchSettings {
  /** notch at which an ordinary double runs for the middle of its window */
  readonly centreNotch: number
  /** settings the grinder has on either side of that */
  readonly reach: number
  /** Sauter diameter of the grounds at the centre notch, micrometres */
  readonly diameter: number
  /** part of that diameter taken off by one notch finer: burrs close by even steps */
  readonly diameterPerNotch: number
  /** porosity of the wet, swollen bed at the centre notch */
  readonly porosity: number
  /** finer grounds also pack closer: porosity lost by one notch finer */
  readonly porosityPerNotch: number
  /** of the dry, tamped bed, grams a millilitre */
  readonly bedDensity: number
  /** pump pressure, bar: common practice */
  readonly pressure: number
  /** flow of the pump against nothing, millilitres a second */
  readonly freeFlow: number
  /** degrees Celsius at the bed: common practice */
  readonly waterTemperature: number
  /** seconds from button to pressure on the bed: lines and headspace fill */
  readonly fillTime: number
  /** play of the collar, notches: so far the burrs lag when the direction turns */
  readonly play: number
  /** grounds held up in the chute, grams: the first to come out at the next dose */
  readonly retention: number
  /** grams that a purge runs through: less than is held up leaves some of it */
  readonly purge: number
  /**
   * A bigger dose in the same basket is also packed closer: ln(resistance) per ln(dose / recipe's dose), beside what
   * its depth does. With it a gram of 18 is worth 2 to 4 s, an exponent of 2 to 3 (common practice).
   */
  readonly crowding: number
  /** kelvin by which a group that has stood long chills the water, and seconds in which it gets 63 % of the way there */
  readonly coldGroup: number
  readonly groupCooling: number
  /** kelvin by which a dose heats the burrs */
  readonly heatPerDose: number
  /** seconds in which that fades to 37 % */
  readonly coolingTime: number
  /** change of ln(resistance) per kelvin of the burrs; grinders differ in its sign */
  readonly heatEffect: number
  /** straight change of ln(resistance) per hour */
  readonly weatherTrend: number
  /** and wandering: standard deviation after one hour */
  readonly weatherWander: number
  /** change of ln(resistance) per percent of relative humidity over 50 */
  readonly humidityEffect: number
  /** standard deviations of the operator's dose (grams), tamp (share of its force) and of ln(resistance) by distribution */
  readonly doseScatter: number
  readonly tampScatter: number
  readonly bedScatter: number
  /** chance that water breaks through the bed */
  readonly channelChance: number
}

export const ordinaryBench: BenchSettings = {
  centreNotch: 15,
  reach: 14,
  diameter: 15.4,
  diameterPerNotch: 0.045,
  porosity: 0.15,
  porosityPerNotch: 0.0022,
  bedDensity: 0.4,
  pressure: 9,
  freeFlow: 25,
  waterTemperature: 93,
  fillTime: 2,
  play: 0.5,
  retention: 4,
  purge: 3,
  crowding: 1.7,
  coldGroup: 10,
  groupCooling: 1200,
  heatPerDose: 1.2,
  coolingTime: 900,
  heatEffect: 0.004,
  weatherTrend: 0,
  weatherWander: 0.03,
  humidityEffect: 0.002,
  doseScatter: 0.2,
  tampScatter: 0.1,
  bedScatter: 0.04,
  channelChance: 0.04,
}

/** Ranges that a bench's settings must lie in. */
export const benchSettingRanges: Readonly<Record<keyof BenchSettings, readonly [number, number]>> = {
  centreNotch: [-1000, 1000],
  reach: [1, 18],
  diameter: [5, 200],
  diameterPerNotch: [0, 0.05],
  porosity: [0.1, 0.5],
  porosityPerNotch: [0, 0.005],
  bedDensity: [0.2, 0.8],
  pressure: [1, 15],
  freeFlow: [1, Infinity],
  waterTemperature: [20, 100],
  fillTime: [0, 20],
  play: [0, 5],
  retention: [0, 20],
  purge: [0, 20],
  crowding: [0, 5],
  coldGroup: [0, 40],
  groupCooling: [1, 1e5],
  heatPerDose: [0, 10],
  coolingTime: [1, 1e5],
  heatEffect: [-0.05, 0.05],
  weatherTrend: [-0.5, 0.5],
  weatherWander: [0, 0.5],
  humidityEffect: [-0.05, 0.05],
  doseScatter: [0, 5],
  tampScatter: [0, 1],
  bedScatter: [0, 1],
  channelChance: [0, 1],
}
