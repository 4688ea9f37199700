/**
 * npm run rehearse [-- SESSION...]
 *
 * Plays whole sessions by voice into the microphone of the built app in a headless Chromium, one after another, and
 * tells what was heard, said and logged. Exits with 1 when a log is not what its session says.
 */
import { readSession, sessionNames } from '../../audio-fixtures/session.ts'
import { findChromium, howToInstall } from '../harness/findChromium.ts'
import { serveBuilt } from '../harness/serveBuilt.ts'
import { rehearseSession } from './rehearseSession.ts'
import { tellRehearsal } from './tellRehearsal.ts'

if (!findChromium()) throw new Error(howToInstall)
const named = process.argv.slice(2)
const sessions = (named.length > 0 ? named : sessionNames).map((name) => ({
  name,
  session: readSession(name),
}))
const served = await serveBuilt()
try {
  for (const { name, session } of sessions) {
    console.log(`\n${name}: ${session.title}\n`)
    const rehearsal = await rehearseSession(session, served.url)
    console.log(tellRehearsal(rehearsal))
    if (rehearsal.differences.length > 0) process.exitCode = 1
  }
} finally {
  await served.close()
}
