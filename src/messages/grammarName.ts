/**
 * The grammar files, `grammar/<language>/<name>.jsgf`. The bar says which are open in its present state; hearing
 * listens for their union and for nothing else.
 */
export const grammarNames = [
  /** stop-class words: open always, also while the tool speaks */
  'stop',
  /** repeat, help, status, undo, pause listening, loudness and the like: open in every listening state */
  'talk',
  /** yes and no */
  'confirm',
  /** only "resume listening" */
  'paused',
  /** no shift is open: open one, choose coffee, grinder, recipe, person */
  'shift',
  'grind',
  'dose',
  'tamp',
  'ready',
  'pouring',
  'judge',
  /** "time was": a shot's time, corrected or asked for */
  'timed',
  'adjust',
  /** at least one hand-off clock runs */
  'handoff',
  'drill',
  'settings',
] as const
export type GrammarName = (typeof grammarNames)[number]
