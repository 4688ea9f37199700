import { cp, mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { StateValue } from 'xstate'
import { renderSession } from '../../../audio-fixtures/renderSession.ts'
import { voices } from '../../../audio-fixtures/voices.ts'
import { encodeWav } from '../../../audio-fixtures/wav.ts'
import type { Observation } from '../../../src/app/live/observe.ts'
import { placeOf } from '../../../src/bar/index.ts'
import type { SentenceId } from '../../../src/messages/cue.ts'
import { openPage } from '../../harness/logbookBrowser.ts'
import { buildOnce, builtPages, root } from '../../harness/buildOnce.ts'
import { serveBuilt } from '../../harness/serveBuilt.ts'
import { checkLog, count, type Session } from './session.ts'
import { talk, type Standing } from './talk.ts'

/** How far a pour that went on over a kill may be logged from the truth, seconds. */
const tolerance = 0.1

/** Sentences that must never be said here: nothing happens to the store but the kills. */
const mustNotBeSaid: readonly SentenceId[] = [
  'trouble.state-lost',
  'trouble.state-behind',
  'trouble.store-failed',
  'trouble.log-full',
  'trouble.log-evicted',
  'trouble.log-gone',
]

/** What is read of the stored state of the bar. */
interface Stored extends Standing {
  shots: number
  /** the shots of the cups that wait */
  cups: readonly string[]
}

/** The built app, spoken to through the browser's microphone by a barista who goes on from where the work stands. */
export async function spokenSession(random: () => number, microphone: string): Promise<Session> {
  const app = await serveCopy()
  let run = 0
  /** places seen in the run before, the last one last */
  let places: string[] = []
  let stored: Stored | null = null
  /** the word that started the pour in hand, bar clock; `null` when it was not seen */
  let started: { onset: number; run: number } | null = null

  return {
    shortest: 300,
    spread: 14_000,
    async check(context, tally, fault) {
      const page = await openPage(context, app.look)
      const found = await checkLog(page, 'earshot', tally, fault)
      await page.evaluate(() => window.log.close())
      await page.close()
      stored = readStored(found.snapshot)
      const waiting = new Set(stored?.cups)
      for (const { id, entry } of found.records)
        if (entry.kind === 'shot' && found.waiting.includes(id) && !waiting.has(entry.shot))
          fault(`shot ${entry.shot} has no end, and no cup of it waits`)
      if (found.missed > 0) fault(`${found.missed} entries that the machine does not know of`)
      if (stored && found.last !== 'shift closed' && stored.shots !== found.shiftShots)
        fault(`the machine remembers ${stored.shots} shots, the log has ${found.shiftShots}`)
      // the state is kept with each command: it is the last one that was seen or, when the keeping was cut short, the
      // one before
      const last = places.slice(-2)
      if (stored && last.length > 0 && !last.includes(stored.place))
        fault(`was at ${last.join(', then ')}, is stored at ${stored.place}`)
      if (stored?.place === 'pouring') {
        count(tally, 'killed in a pour')
        if (places.at(-1) !== 'pouring') started = null
      }
      if (waiting.size > 0) count(tally, 'killed with cups waiting')
    },
    async start(context, tally, fault) {
      run += 1
      const voice = Object.keys(voices)[Math.floor(random() * Object.keys(voices).length)] ?? ''
      const standing = stored ?? { place: 'closed', isAsked: false, waiting: 0 }
      const { samples } = await renderSession(talk(standing, 15, voice, random))
      await writeFile(microphone, encodeWav(samples))

      const told: string[] = []
      const seen: string[] = []
      let stopped = 0
      let isListening = false
      const page = await context.newPage()
      await page.exposeFunction('report', (observation: Observation) => {
        switch (observation.kind) {
          case 'heard': {
            count(tally, 'commands heard')
            const { intent, onset } = observation.command
            if (intent === 'start pour') started = { onset, run }
            if (intent === 'stop pour') stopped = onset
            break
          }
          case 'logged': {
            const { entry } = observation
            told.push(entry.id)
            if (entry.kind === 'lost') count(tally, `${entry.kind}: ${entry.what}`)
            if (entry.kind !== 'shot' || !started) break
            if (started.run < run) count(tally, 'pours that went on over a kill')
            const error = entry.seconds - (stopped - started.onset)
            if (Math.abs(error) > tolerance) fault(`a pour is logged ${error.toFixed(2)} s from the truth`)
            break
          }
          case 'state':
            if (seen.at(-1) !== observation.state) seen.push(observation.state)
            break
          case 'sounded':
            if (observation.earcon === 'logged') count(tally, 'chimes for logged')
            break
          case 'said':
            if (mustNotBeSaid.includes(observation.sentence)) fault(`said ${observation.sentence}`)
            break
          case 'listening':
            isListening = observation.listening === 'on'
            break
          default:
        }
      })
      await page.addInitScript({
        content: `let door
          Object.defineProperty(window, 'earshot', {
            get: () => door,
            set(opened) { door = opened; opened.observe(window.report) },
          })`,
      })
      await page.goto(app.url)
      await page.getByRole('button').first().click()
      // the sound begins with the microphone, which is open before the model is ready
      for (let tries = 0; !isListening && tries < 1000; tries += 1)
        await new Promise((wake) => setTimeout(wake, 20))
      if (!isListening) fault('does not listen')
      count(tally, `resumed at ${seen[0] ?? 'nowhere'}`)
      if (stored && seen[0] !== stored.place) fault(`stored at ${stored.place}, came back at ${seen[0]}`)
      places = seen
      return told
    },
    close: app.close,
  }
}

/** Serves a copy of the built app, so that a build meanwhile does not change it, and with it a page to look at its log. */
async function serveCopy(): Promise<{ url: string; look: string; close: () => Promise<void> }> {
  await buildOnce()
  const outDir = await mkdtemp(join(tmpdir(), 'earshot-app-'))
  await cp(`${root}dist`, outDir, { recursive: true })
  await cp(`${builtPages}/logbook.html`, join(outDir, 'look/logbook.html'))
  await cp(`${builtPages}/assets`, join(outDir, 'look/assets'), { recursive: true })
  const { url, close } = await serveBuilt(outDir)
  return {
    url,
    look: `${url}look/logbook.html`,
    async close() {
      await close()
      await rm(outDir, { recursive: true, force: true })
    },
  }
}

/** Reads what the app stored of the bar; `null` before it stored anything. */
function readStored(snapshot: unknown): Stored | null {
  if (snapshot === undefined || snapshot === null) return null
  const { bar } = snapshot as {
    bar: {
      value: { asking: string }
      context: { waiting: { shot: string }[] }
      children: { loop: { snapshot: { value: StateValue; context: { tally: { shots: number } } } } }
    }
  }
  const cups = bar.context.waiting.map((clock) => clock.shot)
  return {
    place: placeOf(bar.children.loop.snapshot.value),
    isAsked: bar.value.asking === 'confirming',
    waiting: cups.length,
    shots: bar.children.loop.snapshot.context.tally.shots,
    cups,
  }
}
