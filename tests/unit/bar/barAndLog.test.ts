import { expect, test } from 'vitest'
import { randomFrom } from '../../../src/coffee/random.ts'
import { openMemoryLogbook } from '../../../src/logbook/openMemoryLogbook.ts'
import { shotRows } from '../../../src/logbook/shotRows.ts'
import { driveBar } from './driveBar.ts'

test('the bar and the log count the same shots, whatever is taken back', async () => {
  for (let run = 1; run <= 40; run += 1) {
    const random = randomFrom(run).uniform
    const bar = driveBar()
    const log = await openMemoryLogbook()
    const moves: Record<string, () => unknown> = {
      pull: () => bar.pull(3 + random() * 20),
      undo: () => bar.say('undo'),
      finer: () => bar.say('grind by', { notches: 1 }),
      purged: () => bar.say('purged'),
      milk: () => bar.say('hand off', { into: 'milk', which: null }),
      next: () => bar.say('next'),
      'leave it': () => bar.say('leave it'),
      wait: () => bar.wait(3),
    }
    bar.say('open shift')
    const done: string[] = []
    for (let step = 0; step < 60; step += 1) {
      const name = Object.keys(moves)[Math.floor(random() * Object.keys(moves).length)] ?? ''
      moves[name]?.()
      bar.wait(0.5)
      done.push(name)
      await log.append(bar.log.splice(0))
      const counted = shotRows(await log.shift()).length
      expect(counted, done.join(', ')).toBe(bar.loop.tally.shots)
    }
  }
})
