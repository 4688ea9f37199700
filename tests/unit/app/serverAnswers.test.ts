import { expect, it } from 'vitest'
import { lastAlike, serverAnswer } from '../../../src/app/live/serverAnswers.ts'

it.each([
  [null, { sentence: 'server.last.never' }],
  [5, { sentence: 'server.last.minutes', values: { minutes: 1 } }],
  [80 * 60, { sentence: 'server.last.minutes', values: { minutes: 80 } }],
  [5 * 3600, { sentence: 'server.last.hours', values: { hours: 5 } }],
  [3 * 86_400, { sentence: 'server.last.days', values: { days: 3 } }],
])('tells when device and server were last alike: %s s ago', (seconds, said) => {
  expect(lastAlike(seconds)).toEqual(said)
})

it('tells what the server would not take, and not when it was alike while it is', () => {
  expect(serverAnswer({ state: 'up to date', alikeSince: 0, denied: 2, altered: 0 })).toEqual([
    { sentence: 'server.up-to-date' },
    { sentence: 'server.denied', values: { entries: 2 } },
  ])
  expect(serverAnswer({ state: 'waiting', alikeSince: 600, denied: 0, altered: 0 })).toEqual([
    { sentence: 'trouble.server-away' },
    { sentence: 'server.last.minutes', values: { minutes: 10 } },
  ])
})

it('does not say that both have the same when the server has altered entries', () => {
  expect(serverAnswer({ state: 'up to date', alikeSince: 0, denied: 0, altered: 3 })).toEqual([
    { sentence: 'server.altered', values: { entries: 3 } },
  ])
})
