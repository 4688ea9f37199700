import type { Command, ServerRequest } from '../messages/command.ts'
import type { Cue, SentenceId } from '../messages/cue.ts'
import type { Drill } from '../messages/drill.ts'
import type { Entry } from '../messages/entry.ts'
import type { Utterance } from '../messages/utterance.ts'
import type { DrillEnded, DrillInput, MovedInDrill } from './drill/drillContext.ts'
import type { DrillRecord } from './drill/drillProgress.ts'
import type { CommandEvent, Resumed, Tick, Upward } from './events.ts'
import type { HandOffEnded } from './handOff/handOff.machine.ts'
import type { HandOffClock } from './handOff/handOffCues.ts'
import type { Condemned, HouseEvent, Overruled, Poured, ReportWanted, Unpoured } from './loop/effect.ts'
import type { LoopStart } from './loop/loopContext.ts'
import { noPump, type Pump, type PumpEvent } from './pump.ts'
import { noRepair, type Repair, type RepairQuestion } from './repair/repairContext.ts'
import type { SettingName, Settings } from './settings.ts'

export interface BarInput extends LoopStart {
  /** the drills that can be asked for */
  drills: readonly Drill[]
  /** how many voices the announcer has */
  voices: number
}

/** A shot that is not to be served. */
export interface Condemnation {
  readonly shot: string
  /** its cups; none of their clocks runs */
  readonly clocks: readonly HandOffClock[]
  /** entries that say they were thrown out */
  readonly entries: readonly string[]
}

export interface BarContext {
  readonly settings: Settings
  readonly voices: number
  readonly drills: readonly Drill[]
  readonly start: LoopStart
  /** what a drill begins with, from the moment it is asked for */
  readonly drillInput: DrillInput | null
  /** scores of drills, by person */
  readonly scores: readonly DrillRecord[]
  /** the clocks that run, each in an actor of its own */
  readonly waiting: readonly HandOffClock[]
  /** cups the next shot is split into */
  readonly cups: number
  /** the last shot that was not to be served: its clocks, should somebody serve it all the same */
  readonly condemned: Condemnation | null
  /** a command that waits for its yes */
  readonly pending: CommandEvent | null
  /** what the microphone says of the pump */
  readonly pump: Pump
  /** words that were not obeyed, and what was asked about them */
  readonly repair: Repair
  /** entries of the last cups of which nobody said where they went, in a row */
  readonly unnamed: readonly string[]
  /** when it was offered to leave the clock out, bar clock: once is enough */
  readonly clockOffered: number | null
  /** the hand-off that "undo that" takes back, until something else is said */
  readonly lastHandOff: { ended: HandOffEnded; entry: string } | null
  /** entries made here, for their ids */
  readonly made: number
}

export type BarEvent =
  | CommandEvent
  | Tick
  | Resumed
  /** the app is up: `first` on a device that has never been used */
  | { type: 'begin'; first: boolean }
  /** the microphone, the recogniser or the store went away; the sentence says what to do */
  | { type: 'trouble'; sentence: SentenceId }
  | { type: 'hearing lost'; sentence: SentenceId }
  | { type: 'hearing back' }
  /** a phrase was said */
  | { type: 'utterance'; utterance: Utterance }
  /** a question that repairs a misunderstanding */
  | { type: 'ask'; question: RepairQuestion }
  /** new settings, from the screen, a file or a command; `setting`: the one to answer for aloud */
  | { type: 'new settings'; settings: Settings; setting?: SettingName; at: number }
  /** cups go unnamed: ask whether this recipe needs the clock */
  | { type: 'offer no clock'; at: number }
  | { type: 'pedal pressed'; code: string; at: number }
  /** a person's number was given a name */
  | { type: 'person named'; number: number; name: string; at: number }
  | PumpEvent
  | HouseEvent
  | Upward
  | Poured
  | Unpoured
  | Condemned
  | Overruled
  | HandOffEnded
  | MovedInDrill
  | DrillEnded
  | ReportWanted

export type BarEmitted =
  | { type: 'cue'; cue: Cue }
  | { type: 'entry'; entry: Entry }
  | { type: 'settings'; settings: Settings }
  /** a phrase was obeyed as this command */
  | { type: 'obeyed'; command: Command }
  /** a report is asked for: whoever has the log gives it */
  | { type: 'report'; of: 'shift' | 'week' }
  /** the server is asked for: whoever has the log answers */
  | { type: 'server'; request: ServerRequest }
  /** the recognition model before is asked for: whoever chose it answers */
  | { type: 'model back' }
  /** what was learnt of the pump is to be deleted: whoever hears it does */
  | { type: 'forget pump' }

export function startBar(input: BarInput): BarContext {
  return {
    settings: input.settings,
    voices: input.voices,
    drills: input.drills,
    drillInput: null,
    scores: [],
    start: input,
    waiting: [],
    cups: 1,
    condemned: null,
    pending: null,
    pump: noPump,
    repair: noRepair,
    unnamed: [],
    clockOffered: null,
    lastHandOff: null,
    made: 0,
  }
}
