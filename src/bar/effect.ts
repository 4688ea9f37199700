import type { Cue } from '../messages/cue.ts'
import type { BarContext, BarEmitted, BarEvent } from './barContext.ts'
import type { NewEntry } from './events.ts'
import type { HandOffEvent, HandOffInput } from './handOff/handOff.machine.ts'
import type { LoopContext, Place } from './loop/loopContext.ts'
import type { LoopEvent } from './loop/effect.ts'
import type { DrillEvent } from './drill/drillContext.ts'

/** What an action of the bar changes, sounds, logs and passes on: a value, carried out by the machine. */
export interface Effect {
  change?: Partial<BarContext>
  cues?: readonly Cue[]
  entries?: readonly NewEntry[]
  emit?: readonly BarEmitted[]
  raise?: readonly BarEvent[]
  toLoop?: readonly LoopEvent[]
  toDrill?: readonly DrillEvent[]
  /** to whatever answers the commands of the work: a drill that is being done, else the loop */
  toWork?: readonly (LoopEvent & DrillEvent)[]
  /** to running hand-off clocks, by their tag */
  toClocks?: readonly { tag: string; event: HandOffEvent }[]
  startClocks?: readonly HandOffInput[]
  stopClocks?: readonly string[]
}

/** The work of the moment, which an action of the bar may read. */
export interface Work {
  readonly loop: LoopContext
  readonly place: Place
}

/** An action of the bar: what an event does, as a pure function. */
export type BarAction = (context: BarContext, event: BarEvent, work: Work) => Effect
