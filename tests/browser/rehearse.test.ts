import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { readSession, sessionNames } from '../../audio-fixtures/session.ts'
import { findChromium, howToInstall } from '../harness/findChromium.ts'
import { type Served, serveBuilt } from '../harness/serveBuilt.ts'
import { tolerance } from '../rehearse/compareLog.ts'
import { rehearseSession } from '../rehearse/rehearseSession.ts'
import { tellRehearsal } from '../rehearse/tellRehearsal.ts'

if (!findChromium()) console.warn(howToInstall)

describe.skipIf(!findChromium())('whole sessions by voice', () => {
  let served: Served
  beforeAll(async () => {
    served = await serveBuilt()
  })
  afterAll(() => served?.close())

  // at once, since each is minutes of real time in which little is computed
  test.concurrent.each(sessionNames)('%s is logged as it was', async (name) => {
    const rehearsal = await rehearseSession(readSession(name), served.url)
    expect(rehearsal.differences, tellRehearsal(rehearsal)).toEqual([])
    expect(Math.max(...rehearsal.errors.map(Math.abs))).toBeLessThanOrEqual(tolerance)
    expect(rehearsal.pageErrors).toEqual([])
  })
})
