/** What a drill's step waits for before the next one. */
export type DrillWait =
  /** "next" */
  | { for: 'next' }
  /** the grind to be moved, by so many notches as said */
  | { for: 'grind' }
  /** one pour */
  | { for: 'pour'; /** split into cups, one when left out */ cups?: number }
  /** pours, with the grind moved between them, until one lands in the window */
  | { for: 'window'; most: number }
  /** all running hand-off clocks to end */
  | { for: 'hand-off' }
  /** so many cups, one every so many seconds, each with its own hand-off clock */
  | { for: 'cups'; count: number; every: number }
  /** a rest, seconds */
  | { for: 'rest'; seconds: number }
  /** a yes or a no */
  | { for: 'answer' }
  /** so many tamps on a scale, each said as "pressed forty pounds" */
  | { for: 'presses'; count: number }
  /** so many doses, each said in grams */
  | { for: 'doses'; count: number }
  /** a span of time called without a clock: "start", then the word that ends a pour */
  | { for: 'call'; seconds: number }

/** How a drill is scored from what its steps collected. */
export const drillScores = [
  'none',
  'fast shot',
  'slow shot',
  'find window',
  'telling apart',
  'consistency',
  'tamps',
  'doses',
  'time sense',
  'hand-offs',
] as const
export type DrillScoring = (typeof drillScores)[number]

/** The parts of a step that are spoken: the instruction, what to look and taste for, why, and a caution. */
export const drillParts = ['say', 'look', 'caution', 'why'] as const
export type DrillPart = (typeof drillParts)[number]

export interface DrillStep {
  /** which parts the step has; their texts are sentences, `drill.<drill>.<step from 1>.<part>` */
  readonly parts: readonly DrillPart[]
  readonly wait: DrillWait
}

/** A drill without its words: what the runner needs. */
export interface Drill {
  /** its file's name */
  readonly id: string
  /** what it is asked for by: "drill three" */
  readonly number: number
  readonly score: DrillScoring
  readonly steps: readonly DrillStep[]
}
