import { describe, expect, test } from 'vitest'
import { speechSpan } from '../../../audio-fixtures/energy.ts'
import { renderSession } from '../../../audio-fixtures/renderSession.ts'
import { readSession, sessionNames, type Session } from '../../../audio-fixtures/session.ts'
import { encodeWav, sampleRate } from '../../../audio-fixtures/wav.ts'
import { readLanguage } from '../../../grammar/readLanguage.ts'
import { understanding } from '../../../grammar/understand.ts'
import { grammarNames } from '../../../src/messages/grammarName.ts'

const quiet: Session = {
  title: 'for this test',
  voice: 'rms',
  leadIn: 0.5,
  leadOut: 0.5,
  background: [],
  lines: [
    { wait: 0.25, say: 'start', pour: 'starts', level: 0, talk: false },
    { poured: 3, say: 'stop', pour: 'ends', level: -6, talk: false },
  ],
  log: [],
}

describe('a rendered session', () => {
  test('has each word where it says', async () => {
    const { samples, spoken, pours } = await renderSession(quiet)
    expect(pours).toEqual([3])
    expect(spoken[0]?.onset).toBe(0.75)
    for (const { onset, end } of spoken) {
      const around = samples.slice(
        Math.round((onset - 0.1) * sampleRate),
        Math.round((end + 0.1) * sampleRate),
      )
      expect(Math.abs(speechSpan(around).onset - 0.1)).toBeLessThanOrEqual(0.005)
    }
  })

  test('refuses lines that overlap and pours that never started', async () => {
    const [start, stop] = quiet.lines
    if (!start || !stop || !('say' in stop)) throw new Error('lines are missing')
    await expect(renderSession({ ...quiet, lines: [stop] })).rejects.toThrow('none is running')
    await expect(renderSession({ ...quiet, lines: [start, { ...stop, poured: 0.1 }] })).rejects.toThrow(
      'before the line above it ends',
    )
    await expect(renderSession({ ...quiet, voice: 'nobody' })).rejects.toThrow()
  })
})

describe.each(sessionNames)('session %s', (name) => {
  const session = readSession(name)
  const understand = understanding(readLanguage('en'), grammarNames)

  test('says commands where it should and no command where it is talk', () => {
    for (const line of session.lines) {
      if (!('say' in line)) continue
      const understood = understand(line.say.toLowerCase().split(' '))
      expect(understood.kind === 'command', line.say).toBe(!line.talk)
    }
  })

  test('is rendered without clipping, with a pour for each shot of its log', async () => {
    const { samples, pours } = await renderSession(session)
    expect(encodeWav(samples)).toHaveLength(44 + 2 * samples.length)
    expect(pours).toHaveLength(session.log.filter((entry) => entry.kind === 'shot').length)
  })
})

test('a session that is not there is named, with those that are', () => {
  expect(() => readSession('no such')).toThrow(/no session "no such".*triple-from-too-slow/)
})
