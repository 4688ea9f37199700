import type { SnapshotFrom } from 'xstate'
import { bundledDrills } from '../../grammar/bundledDrills.ts'
import { bundledLanguage } from '../../grammar/bundledLanguage.ts'
import { teaches } from '../../grammar/teaches.ts'
import {
  defaultSettings,
  expectedNow,
  mayBeSaid,
  readSaved,
  situationOf,
  startDurableBar,
  toEvent,
  type Bar,
  type barMachine,
  type BarEvent,
  type SavedBar,
} from '../bar/index.ts'
import { createEar, type Ear, type EarFailure, type EarState } from '../hearing/index.ts'
import {
  daysBefore,
  LogbookError,
  openLogbook,
  openMemoryLogbook,
  setAside,
  shiftReport,
  weekReport,
  type Logbook,
} from '../logbook/index.ts'
import type { BarClock } from '../messages/clock.ts'
import type { Command } from '../messages/command.ts'
import type { Cue, SentenceId, SentenceValues } from '../messages/cue.ts'
import type { Entry } from '../messages/entry.ts'
import type { GrammarName } from '../messages/grammarName.ts'
import { whyNotObeyed } from '../messages/utterance.ts'
import {
  audioContext,
  createAnnouncer,
  failureSentences,
  voiceCount,
  type Announcer,
} from '../speaking/index.ts'
import { createBarClock } from './device/barClock.ts'
import { linkPump } from './live/pumpLink.ts'
import type { Observation } from './live/observe.ts'

/** Seconds between the ticks that tell the machines the time. Nothing that sounds depends on them. */
const tickEvery = 0.1

/** The words that stay open while the tool speaks, even where it may hear itself: they cannot wait. */
const openWhileSpeaking: readonly GrammarName[] = ['stop', 'handoff']

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
  /** a recognition model, or its address */
  model: string | Blob
  report: (observation: Observation) => void
}

export interface Companion {
  readonly bar: Bar
  readonly clock: BarClock
  readonly ear: Ear
  readonly announcer: Announcer
  readonly logbook: Logbook
  /** Does what a key, a touch or a pedal asks. The same commands as by voice. */
  command(command: Command): void
  /** Tells the bar what is no command: settings from the screen, a pedal's key. */
  tell(event: BarEvent): void
  /** Says an answer that does not come from the bar. */
  say(sentence: SentenceId, values?: SentenceValues): void
  /** The same for a trouble: it cuts in. */
  warn(sentence: SentenceId, values?: SentenceValues): void
  close(): Promise<void>
}

/**
 * Puts the rooms together and starts them: microphone to command, command to bar, cues to the loudspeaker, entries
 * to the log. The audio context must be allowed to run, so this is called from a touch or a key.
 *
 * @throws {LogbookError} when the log is open in another window; that is also said aloud
 */
export async function startCompanion({ language, model, report }: CompanionOptions): Promise<Companion> {
  const context = audioContext()
  await context.resume()
  const opened = await openLog().catch((error: unknown) => error as LogbookError)
  const loaded = opened instanceof Error ? null : await opened.loadSnapshot()
  const saved = readSaved(loaded?.snapshot)
  const clock = createBarClock(context, saved?.at)
  const announcer = createAnnouncer({ clock, language, settings: defaultSettings })
  const loading = announcer.load().catch(() => undefined)

  const say = (sentence: SentenceId, values?: SentenceValues) =>
    announcer.perform({ kind: 'say', sentence, priority: 'answer', ...(values && { values }) })
  const show = (sentence: SentenceId, values?: SentenceValues) =>
    report({ kind: 'trouble', at: clock.now(), sentence, ...(values && { values }) })
  const warn = (sentence: SentenceId, values?: SentenceValues) => {
    show(sentence, values)
    announcer.perform({ kind: 'earcon', earcon: 'trouble' })
    announcer.perform({ kind: 'say', sentence, priority: 'warning', ...(values && { values }) })
  }
  announcer.onSaid(({ sentence, text, at, until, spoken }) =>
    report({ kind: 'said', at, sentence, text, until, spoken }),
  )
  announcer.onFailure(({ kind }) =>
    report({ kind: 'not said', at: clock.now(), sentence: failureSentences[kind] }),
  )
  announcer.onSounded(({ earcon, at }) => report({ kind: 'sounded', at, earcon }))

  if (opened instanceof Error) {
    await loading
    warn(opened instanceof LogbookError ? opened.trouble.sentence : 'trouble.store-failed')
    throw opened
  }
  const logbook = opened

  const { bar, isRestored } = startDurableBar({
    input: {
      settings: defaultSettings,
      voices: voiceCount,
      drills: await bundledDrills(language),
      now: clock.now(),
    },
    saved,
    onSetAside: (state) => void setAside(logbook.store, state),
  })
  announcer.setSettings(bar.getSnapshot().context.settings)
  const ear = createEar({ context, clock, language: await bundledLanguage(language), model })

  // --- out of the bar: what one event causes is collected, then sounded and logged
  let cues: Cue[] = []
  let entries: Entry[] = []
  let reportWanted: 'shift' | 'week' | null = null
  bar.on('cue', ({ cue }) => cues.push(cue))
  bar.on('entry', ({ entry }) => entries.push(entry))
  bar.on('report', ({ of }) => (reportWanted = of))
  bar.on('settings', ({ settings }) => announcer.setSettings(settings))

  /** A sound that fails keeps nothing else from being done, and what the bar does is safe already. */
  function perform(cue: Cue) {
    try {
      announcer.perform(cue)
    } catch (error) {
      console.error('a cue failed', cue, error)
    }
  }

  /** Sends an event and carries out what comes of it. `keeping`: store the state even when nothing is logged. */
  function send(event: BarEvent, keeping: boolean) {
    bar.send(event)
    const caused = { cues, entries, reportWanted }
    cues = []
    entries = []
    reportWanted = null
    for (const cue of caused.cues) if (!isAcknowledgement(cue)) perform(cue)
    if (keeping || caused.entries.length > 0)
      void keep(caused.entries, caused.cues.filter(isAcknowledgement)).then(() => {
        if (caused.reportWanted) void giveReport(caused.reportWanted).catch(() => warn('trouble.bar-failed'))
      })
  }

  /** Logs entries with the state after them; the sound that says "logged" waits until they are safe. */
  async function keep(batch: readonly Entry[], acknowledgements: readonly Cue[]) {
    const state = bar.save(clock.now())
    try {
      const [entry] = batch
      if (entry?.kind === 'person erased') await erase(entry, state)
      else await logbook.append(batch, state)
      for (const cue of acknowledgements) perform(cue)
      for (const entry of batch) report({ kind: 'logged', at: clock.now(), entry })
    } catch (error) {
      warn(error instanceof LogbookError ? error.trouble.sentence : 'trouble.store-failed')
    }
  }

  /** Erases a person's data, and says what was done and what cannot be reached from here. */
  async function erase(entry: Extract<Entry, { kind: 'person erased' }>, state: SavedBar) {
    const { changed, removed, unreached } = await logbook.erase(entry, state)
    say('erase.done', { changed, removed })
    for (const sentence of unreached) say(sentence)
  }

  /** Reports entries that cannot be read, each time there are more. */
  let newerTold = 0
  let damagedTold = 0
  function reportUnread() {
    if (logbook.newer > newerTold) warn('trouble.log-newer', { entries: logbook.newer })
    newerTold = logbook.newer
    if (logbook.damaged > damagedTold) warn('trouble.log-damaged', { entries: logbook.damaged })
    damagedTold = logbook.damaged
  }

  /** Reads a report out of the log. */
  async function giveReport(of: 'shift' | 'week') {
    const said =
      of === 'shift'
        ? shiftReport(await logbook.shift()).said
        : weekReport(await logbook.days.summaries(daysBefore(Date.now(), 13)), Date.now())
    for (const { sentence, values } of said) say(sentence, values)
  }

  // --- into the bar
  function command(given: Command) {
    report({ kind: 'heard', at: clock.now(), command: given })
    // whoever speaks knows what to do: the prompt for it is no longer wanted
    announcer.perform({ kind: 'hush', only: 'prompts' })
    send(toEvent(given), true)
  }
  const tell = (event: BarEvent) => {
    if (event.type === 'trouble') show(event.sentence)
    send(event, true)
  }
  ear.onUtterance((utterance) => {
    const { heard, onset, end } = utterance
    const reason = whyNotObeyed(utterance)
    if (reason) report({ kind: 'rejected', at: clock.now(), heard, onset, end, reason })
    send({ type: 'utterance', utterance }, reason === null)
  })
  // whoever speaks knows what to do: the prompt for it is no longer wanted
  bar.on('obeyed', ({ command }) => {
    report({ kind: 'heard', at: clock.now(), command })
    announcer.perform({ kind: 'hush', only: 'prompts' })
  })
  ear.onState(hearingChanged)
  announcer.onSpeaking((speaking) => ear.setSpeaking(speaking))
  announcer.onSaid(({ sentence, spoken }) => {
    if (spoken && teaches(sentence)) ear.setTeaching()
  })

  const pump = linkPump({
    bar,
    clock,
    context,
    send: (event) => send(event, false),
    onDeaf: () => warn('pump.deaf'),
  })

  let hasHeard = false
  function hearingChanged(state: EarState) {
    if (state.kind === 'loading') report({ kind: 'loading', at: clock.now(), share: state.progress })
    if (state.kind === 'listening') {
      report({ kind: 'listening', at: clock.now(), listening: 'on' })
      if (hasHeard) send({ type: 'hearing back' }, false)
      hasHeard = true
    }
    if (state.kind === 'failed') deafBecause(earTroubles[state.reason])
  }
  function deafBecause(trouble: SentenceId) {
    report({ kind: 'listening', at: clock.now(), listening: 'off', trouble })
    send({ type: 'hearing lost', sentence: trouble }, false)
  }
  ear.onMuted((isMuted) => {
    if (isMuted) deafBecause('trouble.muted')
    else hearingChanged(ear.state)
  })

  // --- what may be said follows the state
  let open = ''
  function follow(snapshot: SnapshotFrom<typeof barMachine>) {
    const situation = situationOf(snapshot)
    const names = mayBeSaid(situation)
    const { nameToCall } = snapshot.context.settings
    const loop = snapshot.children.loop?.getSnapshot().context
    const expected = loop ? expectedNow(situation, loop) : []
    const wanted = JSON.stringify([names, nameToCall, expected])
    if (wanted === open) return
    open = wanted
    ear.listen(names, {
      nameRequired: nameToCall,
      expected,
      whileSpeaking: openWhileSpeaking.filter((name) => names.includes(name)),
    })
    report({ kind: 'state', at: clock.now(), state: situation.place, grammars: names })
  }
  bar.subscribe(follow)
  follow(bar.getSnapshot())

  await Promise.all([ear.open(), loading])
  for (const { kind, sentence, values } of logbook.troubles)
    if (kind !== 'not persistent') warn(sentence, values)
  reportUnread()
  logbook.onStanding(reportUnread)
  if (saved && !isRestored) warn('trouble.state-lost')
  else if (loaded && loaded.missed > 0) warn('trouble.state-behind', { entries: loaded.missed })
  send(isRestored ? { type: 'resumed', at: clock.now() } : { type: 'begin', first: !saved }, true)
  const ticking = setInterval(() => send({ type: 'tick', at: clock.now() }, false), tickEvery * 1000)

  return {
    bar,
    clock,
    ear,
    announcer,
    logbook,
    command,
    tell,
    say,
    warn,
    async close() {
      clearInterval(ticking)
      bar.stop()
      ear.close()
      pump.close()
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
