import { createActor, type Actor, type Snapshot, type SnapshotFrom } from 'xstate'
import { bundledDrills } from '../../grammar/bundledDrills.ts'
import { bundledLanguage } from '../../grammar/bundledLanguage.ts'
import { barMachine, type BarInput } from '../bar/bar.machine.ts'
import { toEvent } from '../bar/events.ts'
import { mayBeSaid } from '../bar/mayBeSaid.ts'
import { situationOf } from '../bar/situation.ts'
import { defaultSettings } from '../bar/settings.ts'
import { createEar, type Ear, type EarFailure, type EarState } from '../hearing/ear.ts'
import {
  LogbookError,
  openLogbook,
  openMemoryLogbook,
  shiftReport,
  type LoadedSnapshot,
  type Logbook,
} from '../logbook/index.ts'
import type { BarClock } from '../messages/clock.ts'
import type { Command } from '../messages/command.ts'
import type { Cue, SentenceId } from '../messages/cue.ts'
import type { Entry } from '../messages/entry.ts'
import { audioContext, createAnnouncer, voiceCount, type Announcer } from '../speaking/index.ts'
import { createBarClock } from './barClock.ts'
import type { Observation } from './observe.ts'

/** Seconds between the ticks that tell the machines the time. Nothing that sounds depends on them. */
const tickEvery = 0.1

/** The words open while the tool speaks: none of its sentences holds one of them. */
const openWhileSpeaking = ['stop', 'handoff'] as const

const earTroubles = {
  'no microphone': 'trouble.no-microphone',
  refused: 'trouble.refused',
  'in use': 'trouble.in-use',
  unplugged: 'trouble.unplugged',
  'model missing': 'trouble.model-missing',
  'model broken': 'trouble.model-broken',
  'worker died': 'trouble.worker-died',
} as const satisfies Record<EarFailure, SentenceId>

export interface CompanionOptions {
  language: string
  /** address of the recognition model */
  model: string
  report: (observation: Observation) => void
}

export interface Companion {
  readonly bar: Actor<typeof barMachine>
  readonly clock: BarClock
  readonly ear: Ear
  readonly announcer: Announcer
  readonly logbook: Logbook
  /** Does what a key, a touch or a pedal asks. The same commands as by voice. */
  command(command: Command): void
  close(): Promise<void>
}

/**
 * Puts the rooms together and starts them: microphone to command, command to bar, cues to the loudspeaker, entries
 * to the log. The audio context must be allowed to run, so this is called from a touch or a key.
 */
export async function startCompanion({ language, model, report }: CompanionOptions): Promise<Companion> {
  const context = audioContext()
  await context.resume()
  const logbook = await openLog()
  const loaded = await logbook.loadSnapshot()
  const saved = readSaved(loaded)
  const clock = createBarClock(context, saved?.at)

  const input: BarInput = {
    settings: defaultSettings,
    voices: voiceCount,
    drills: await bundledDrills(language),
    now: clock.now(),
  }
  const bar = createActor(barMachine, saved ? { input, snapshot: saved.bar } : { input })
  const settings = () => bar.getSnapshot().context.settings
  const announcer = createAnnouncer({ clock, language, settings: settings() })
  const ear = createEar({ context, clock, language: await bundledLanguage(language), model })

  // --- out of the bar: what one event caused is collected, then logged and sounded
  let cues: Cue[] = []
  let entries: Entry[] = []
  bar.on('cue', ({ cue }) => cues.push(cue))
  bar.on('entry', ({ entry }) => entries.push(entry))
  let isReportWanted = false
  bar.on('report', () => (isReportWanted = true))
  bar.on('settings', ({ settings }) => announcer.setSettings(settings))

  const sendToBar: typeof bar.send = (event) => {
    bar.send(event)
    flush()
  }

  function flush() {
    const batch = { cues, entries }
    const withReport = isReportWanted
    if (batch.cues.length === 0 && batch.entries.length === 0 && !withReport) return
    cues = []
    entries = []
    isReportWanted = false
    const acknowledgements = batch.cues.filter(isAcknowledgement)
    for (const cue of batch.cues) if (!isAcknowledgement(cue)) announcer.perform(cue)
    void keep(batch.entries, acknowledgements).then(() => (withReport ? tellReport() : undefined))
  }

  /** Logs entries with the state after them; the sound that says "logged" waits until they are safe. */
  async function keep(batch: readonly Entry[], acknowledgements: readonly Cue[]) {
    try {
      await logbook.append(batch, { at: clock.now(), bar: bar.getPersistedSnapshot() })
      for (const cue of acknowledgements) announcer.perform(cue)
      for (const entry of batch) report({ kind: 'logged', at: clock.now(), entry })
    } catch (error) {
      tellTrouble(error instanceof LogbookError ? error.trouble.sentence : 'trouble.store-failed')
    }
  }

  /** Reads the shift's report out of the log. */
  async function tellReport() {
    for (const { sentence, values } of shiftReport(await logbook.shift()).said)
      announcer.perform({ kind: 'say', sentence, priority: 'answer', ...(values && { values }) })
  }

  function tellTrouble(sentence: SentenceId) {
    announcer.perform({ kind: 'earcon', earcon: 'trouble' })
    announcer.perform({ kind: 'say', sentence, priority: 'warning' })
  }

  // --- into the bar
  const command = (given: Command) => {
    report({ kind: 'heard', at: clock.now(), command: given })
    sendToBar(toEvent(given))
    void keep([], [])
  }
  ear.onCommand(command)
  ear.onRejected((rejected) => {
    report({ kind: 'rejected', at: clock.now(), ...rejected })
    sendToBar({ type: 'not understood' })
  })
  ear.onState((state) => hearingChanged(state))
  announcer.onSpeaking((speaking) => ear.setSpeaking(speaking))
  announcer.onSaid(({ sentence, text, at, until }) => report({ kind: 'said', at, sentence, text, until }))
  announcer.onSounded(({ earcon, at }) => report({ kind: 'sounded', at, earcon }))

  let heardBefore = false
  function hearingChanged(state: EarState) {
    if (state.kind === 'listening') {
      report({ kind: 'listening', at: clock.now(), listening: 'on' })
      if (heardBefore) sendToBar({ type: 'hearing back' })
      heardBefore = true
    }
    if (state.kind === 'failed') {
      const trouble = earTroubles[state.reason]
      report({ kind: 'listening', at: clock.now(), listening: 'off', trouble })
      sendToBar({ type: 'hearing lost', sentence: trouble })
    }
  }

  // --- what may be said follows the state
  let open = ''
  const follow = (snapshot: SnapshotFrom<typeof barMachine>) => {
    const situation = situationOf(snapshot)
    const names = mayBeSaid(situation)
    const { nameToCall } = snapshot.context.settings
    const wanted = `${names.join(' ')} ${nameToCall}`
    if (wanted === open) return
    open = wanted
    ear.listen(names, {
      nameRequired: nameToCall,
      whileSpeaking: openWhileSpeaking.filter((name) => names.includes(name)),
    })
    report({ kind: 'state', at: clock.now(), state: situation.place, grammars: names })
  }

  bar.start()
  bar.getSnapshot().children.loop?.subscribe(() => follow(bar.getSnapshot()))
  bar.subscribe(follow)
  follow(bar.getSnapshot())

  const loading = announcer.load().catch(() => undefined)
  await ear.open()
  await loading
  for (const { sentence } of logbook.troubles)
    if (sentence !== 'trouble.not-persistent') tellTrouble(sentence)
  sendToBar(saved ? { type: 'resumed', at: clock.now() } : { type: 'begin', first: true })

  const ticking = setInterval(() => sendToBar({ type: 'tick', at: clock.now() }), tickEvery * 1000)

  return {
    bar,
    clock,
    ear,
    announcer,
    logbook,
    command,
    async close() {
      clearInterval(ticking)
      bar.stop()
      ear.close()
      announcer.close()
      await logbook.close()
    },
  }
}

const isAcknowledgement = (cue: Cue) => cue.kind === 'earcon' && cue.earcon === 'logged'

/** The log of this browser, or one that lasts as long as the window when it keeps nothing. */
async function openLog(): Promise<Logbook> {
  try {
    return await openLogbook()
  } catch (error) {
    if (error instanceof LogbookError && error.trouble.kind === 'no storage') return openMemoryLogbook()
    throw error
  }
}

interface Saved {
  /** bar clock */
  at: number
  bar: Snapshot<unknown>
}

/** The bar's saved state, or `null` when there is none that can be trusted. */
function readSaved(loaded: LoadedSnapshot | null): Saved | null {
  const snapshot = loaded?.snapshot as Partial<Saved> | undefined
  return snapshot && typeof snapshot.at === 'number' && snapshot.bar ? (snapshot as Saved) : null
}
