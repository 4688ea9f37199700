import { type Recording, renderSession } from '../../audio-fixtures/renderSession.ts'
import type { Session } from '../../audio-fixtures/session.ts'
import { sampleRate } from '../../audio-fixtures/wav.ts'
import type { Observation } from '../../src/app/live/observe.ts'
import type { Entry } from '../../src/messages/entry.ts'
import { openApp } from '../harness/openApp.ts'
import { wakeApp } from '../harness/wakeApp.ts'
import { compareLog, shotErrors } from './compareLog.ts'

/** What came of playing a session into the microphone of the built app. */
export interface Rehearsal {
  recording: Recording
  observations: readonly Observation[]
  log: readonly Entry[]
  /** where the log is not what the session says; empty when all is well */
  differences: readonly string[]
  /** by how much each shot's logged time is off, seconds */
  errors: readonly number[]
  /** seconds into the recording for a bar time: the first command heard ties the two together */
  intoRecording(barTime: number): number
  /** errors of the page itself */
  pageErrors: readonly string[]
}

/** Plays a session, in real time, into the microphone of the app at `url`. */
export async function rehearseSession(session: Session, url: string): Promise<Rehearsal> {
  const recording = await renderSession(session)
  const app = await openApp({ url, microphone: recording.samples })
  try {
    await wakeApp(app)
    await new Promise((resolve) => setTimeout(resolve, (recording.samples.length / sampleRate) * 1000))
  } finally {
    await app.close()
  }
  const log = app.observations.flatMap((observation) =>
    observation.kind === 'logged' ? [observation.entry] : [],
  )
  const firstHeard = app.observations.find((observation) => observation.kind === 'heard')
  const firstSaid = recording.spoken.find((line) => !line.talk)
  const offset = (firstHeard?.command.onset ?? NaN) - (firstSaid?.onset ?? NaN)
  return {
    recording,
    observations: app.observations,
    log,
    differences: compareLog(log, session.log, recording.pours),
    errors: shotErrors(log, recording.pours),
    intoRecording: (barTime) => barTime - offset,
    pageErrors: app.errors,
  }
}
