import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { priorities, type Priority } from '../../../src/messages/cue.ts'
import {
  add,
  leadTime,
  plan,
  remove,
  silence,
  type Channel,
  type Step,
  type Utterance,
} from '../../../src/speaking/speechQueue.ts'

type Said = Utterance<string>
let order = 0
const utter = (content: string, priority: Priority, duration: number, more: Partial<Said> = {}): Said => ({
  order: order++,
  content,
  priority,
  duration,
  ...more,
})

/** Adds utterances at a time and plans. */
function at(now: number, channel: Channel<string>, ...utterances: Said[]): Step<string> {
  return plan(utterances.reduce<Channel<string>>(add, channel), now)
}
const started = (step: Step<string>) => step.start.map((slot) => [slot.utterance.content, slot.start])
const stopped = (step: Step<string>) => step.stop.map(({ slot, at }) => [slot.utterance.content, at])
const dropped = (step: Step<string>) => step.dropped.map((utterance) => utterance.content)
const waiting = (step: Step<string>) => step.channel.waiting.map((utterance) => utterance.content)

describe('the one voice', () => {
  test('speaks at once when nothing else does', () => {
    expect(started(at(5, silence, utter('tamp', 'prompt', 1)))).toEqual([['tamp', 5]])
  })

  test('says answers one after the other, without a gap', () => {
    const step = at(
      0,
      silence,
      utter('time', 'answer', 1),
      utter('in window', 'answer', 1),
      utter('leave', 'answer', 1),
    )
    expect(started(step)).toEqual([
      ['time', 0],
      ['in window', 1],
    ])
    expect(started(at(0.5, step.channel))).toEqual([['leave', 2]])
  })

  test('a warning cuts in; the answer it cut is said again after it', () => {
    const answer = at(0, silence, utter('chance', 'answer', 4))
    const warning = at(1, answer.channel, utter('expired', 'warning', 2))
    expect(stopped(warning)).toEqual([['chance', 1]])
    expect(started(warning)).toEqual([['expired', 1]])
    expect(waiting(warning)).toEqual(['chance'])
    expect(started(at(3, warning.channel))).toEqual([['chance', 3]])
  })

  test('an answer cuts a prompt; a prompt waits for an answer', () => {
    const prompt = at(0, silence, utter('grind', 'prompt', 3))
    const answer = at(1, prompt.channel, utter('place', 'answer', 1))
    expect(stopped(answer)).toEqual([['grind', 1]])
    expect(started(at(1, silence, utter('place', 'answer', 1), utter('grind', 'prompt', 1)))).toEqual([
      ['place', 1],
      ['grind', 2],
    ])
  })

  test('a newer prompt replaces an older one, spoken or waiting', () => {
    const first = at(0, silence, utter('grind', 'prompt', 3))
    const second = at(1, first.channel, utter('dose', 'prompt', 3))
    expect(stopped(second)).toEqual([['grind', 1]])
    expect(started(second)).toEqual([['dose', 1]])
    expect(waiting(second)).toEqual([])
    const queued = at(
      0,
      silence,
      utter('long answer', 'answer', 9),
      utter('grind', 'prompt', 1),
      utter('dose', 'prompt', 1),
    )
    expect(dropped(queued)).toEqual(['grind'])
    expect(waiting(queued)).toEqual(['dose'])
  })

  test('prompts of one tag belong together', () => {
    const step = at(
      0,
      silence,
      utter('step', 'prompt', 1, { tag: 'drill' }),
      utter('caution', 'prompt', 1, { tag: 'drill' }),
    )
    expect(started(step)).toEqual([
      ['step', 0],
      ['caution', 1],
    ])
    expect(dropped(step)).toEqual([])
  })

  test('what expires before it could start is dropped', () => {
    const warning = at(0, silence, utter('expired', 'warning', 2))
    const late = at(0.5, warning.channel, utter('ten', 'mark', 0.4, { at: 0.6, expires: 1.4 }))
    expect(dropped(late)).toEqual(['ten'])
    expect(dropped(at(3, add(silence, utter('ten', 'mark', 0.4, { at: 1, expires: 1.8 }))))).toEqual(['ten'])
  })

  test('what is due later is handed over ahead of its time, at its time', () => {
    const early = at(0, silence, utter('ten', 'mark', 0.4, { at: 10 }))
    expect(started(early)).toEqual([])
    expect(early.wake).toBe(10 - leadTime)
    expect(started(at(10 - leadTime, early.channel))).toEqual([['ten', 10]])
  })

  test('a mark cuts an answer at its own time, not when it is handed over', () => {
    const answer = at(9, silence, utter('status', 'answer', 5))
    const mark = at(9, answer.channel, utter('ten', 'mark', 0.4, { at: 10 }))
    expect(stopped(mark)).toEqual([['status', 10]])
    expect(started(mark)).toEqual([['ten', 10]])
    expect(mark.channel.slots.map(({ start, end }) => [start, end])).toEqual([
      [9, 10],
      [10, 10.4],
    ])
  })

  test('an answer too long to end before a mark that is known waits for it', () => {
    const mark = at(0, silence, utter('ten', 'mark', 0.5, { at: 10 }))
    const long = at(7, mark.channel, utter('status', 'answer', 5))
    expect(started(long)).toEqual([])
    const short = at(7, long.channel, utter('seven', 'answer', 2))
    expect(started(short)).toEqual([['seven', 7]])
    const due = at(9, at(8.5, short.channel).channel)
    expect(started(due)).toEqual([['status', 10.5]])
  })

  test('two warnings of one moment follow each other', () => {
    const step = at(
      4.9,
      silence,
      utter('first cup', 'warning', 1, { at: 5, expires: 6.5 }),
      utter('second cup', 'warning', 1, { at: 5, expires: 6.5 }),
    )
    expect(started(step)).toEqual([
      ['first cup', 5],
      ['second cup', 6],
    ])
  })

  test('an answer cut twice is said again once', () => {
    const answer = at(9, silence, utter('status', 'answer', 5))
    const mark = at(9, answer.channel, utter('ten', 'mark', 0.4, { at: 10 }))
    const warning = at(9.5, mark.channel, utter('expired', 'warning', 0.2))
    expect(stopped(warning)).toEqual([['status', 9.5]])
    expect(started(warning)).toEqual([
      ['expired', 9.5],
      ['status', 10.4],
    ])
    expect(waiting(warning)).toEqual([])
  })

  test('cancelling takes back what waits and silences what speaks', () => {
    const step = at(
      0,
      silence,
      utter('ten', 'mark', 0.4, { at: 10, tag: 'pour' }),
      utter('pouring', 'answer', 2, { tag: 'pour' }),
      utter('other', 'answer', 2),
    )
    const gone = remove(step.channel, ({ tag }) => tag === 'pour', 0.5)
    expect(stopped(gone)).toEqual([['pouring', 0.5]])
    expect(dropped(gone)).toEqual(['ten'])
    const future = remove(
      at(9, silence, utter('ten', 'mark', 0.4, { at: 10, tag: 'pour' })).channel,
      () => true,
      9.2,
    )
    expect(stopped(future)).toEqual([['ten', 10]])
  })
})

test('whatever comes and whenever: one voice, no speech lost without a reason, nothing before its time', () => {
  const arrival = fc.record({
    after: fc.double({ min: 0, max: 3, noNaN: true }),
    priority: fc.constantFrom(...priorities),
    duration: fc.double({ min: 0.1, max: 4, noNaN: true }),
    lead: fc.option(fc.double({ min: 0, max: 6, noNaN: true })),
    patience: fc.option(fc.double({ min: 0, max: 3, noNaN: true })),
  })
  fc.assert(
    fc.property(fc.array(arrival, { maxLength: 12 }), (arrivals) => {
      let now = 0
      let channel: Channel<number> = silence
      const sounded = new Map<Utterance<number>, { start: number; end: number }[]>()
      const gone = new Set<Utterance<number>>()
      const all: Utterance<number>[] = []
      const step = () => {
        const { start, stop, dropped, wake, channel: next } = plan(channel, now)
        channel = next
        for (const { slot, at } of stop)
          for (const part of sounded.get(slot.utterance) ?? [])
            if (part.start === slot.start) part.end = Math.min(part.end, at)
        for (const slot of start)
          sounded.set(slot.utterance, [...(sounded.get(slot.utterance) ?? []), { ...slot }])
        for (const utterance of dropped) gone.add(utterance)
        return wake
      }
      const runUntil = (end: number) => {
        for (
          let wake = step(), turns = 0;
          wake !== null && wake <= end && turns < 500;
          wake = step(), turns++
        )
          now = Math.max(wake, now + 1e-6)
        now = Math.max(now, end)
      }
      for (const [index, { after, priority, duration, lead, patience }] of arrivals.entries()) {
        runUntil(now + after)
        const due = now + (lead ?? 0)
        const utterance: Utterance<number> = {
          order: index,
          content: index,
          priority,
          duration,
          ...(lead !== null && { at: due }),
          ...(patience !== null && { expires: due + patience }),
        }
        all.push(utterance)
        channel = add(channel, utterance)
      }
      runUntil(now + 200)
      const parts = [...sounded.values()]
        .flat()
        .filter(({ start, end }) => end > start)
        .sort((a, b) => a.start - b.start)
      for (const [index, part] of parts.entries()) {
        const before = parts[index - 1]
        if (before) expect(part.start).toBeGreaterThanOrEqual(before.end - 1e-9)
      }
      for (const utterance of all) {
        const last = sounded.get(utterance)?.at(-1)
        const isWhole = last !== undefined && last.end - last.start >= utterance.duration - 1e-9
        const isReplaced =
          utterance.priority === 'prompt' &&
          all.some((other) => other.priority === 'prompt' && other.order > utterance.order)
        if (!isWhole && !isReplaced) expect(gone).toContain(utterance)
        for (const { start } of sounded.get(utterance) ?? []) {
          if (utterance.at !== undefined) expect(start).toBeGreaterThanOrEqual(utterance.at)
          if (utterance.expires !== undefined) expect(start).toBeLessThanOrEqual(utterance.expires)
        }
        if (utterance.expires === undefined && !isReplaced) expect(isWhole).toBe(true)
      }
      expect(channel.waiting).toEqual([])
    }),
  )
})
