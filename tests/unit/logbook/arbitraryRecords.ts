import fc from 'fast-check'
import { destinations, looks, tastes } from '../../../src/messages/command.ts'
import type { Entry, EntryKind } from '../../../src/messages/entry.ts'
import { recordId, recordVersion, type LogRecord } from '../../../src/logbook/record.ts'

/** Any text there may be, with what trips files up: quotes, commas, line ends, formulas, apostrophes. */
const text = fc.oneof(
  fc.string({ unit: 'grapheme', maxLength: 20 }),
  fc.constantFrom(
    '=1+1',
    '+1',
    '-1',
    '@x',
    "'",
    "''=x",
    '\t',
    '\r\n',
    '"',
    '""',
    ',',
    ' a ',
    '\ufeff',
    '\u2028',
    '＝1',
    'é',
    '😀',
  ),
)
const named = text.filter((each) => each.length > 0)
const number = fc
  .double({ noNaN: true, noDefaultInfinity: true, min: -1e6, max: 1e6 })
  .map((each) => each + 0)
const positive = fc.double({ noNaN: true, min: 0, max: 1e5 }).map((each) => each + 0)
const within = (min: number, max: number) => fc.double({ noNaN: true, min, max }).map((each) => each + 0)
const notch = within(-1000, 1000)
const seconds = within(0, 3600)
const dose = fc.option(within(5, 40), { nil: undefined })
const window = fc
  .tuple(within(3, 120), within(1, 60))
  .map(([opens, length]) => ({ opens, closes: Math.max(opens + 1, Math.min(180, opens + length)) }))
const count = fc.nat({ max: 1_000_000 })
const person = fc.option(count, { nil: undefined })
const plain = fc.oneof(
  number,
  text,
  fc.boolean(),
  fc.constant(null),
  fc.array(number, { maxLength: 3 }),
  fc.record({ volume: number, word: text }),
)

const byKind: { [K in EntryKind]: fc.Arbitrary<Omit<Extract<Entry, { kind: K }>, 'id' | 'at' | 'kind'>> } = {
  'shift opened': fc.record({ coffee: count, grinder: count, recipe: named, person }),
  'shift closed': fc.constant({}),
  'recipe chosen': fc.record({ recipe: named }),
  'coffee chosen': fc.record({ coffee: count }),
  'grinder chosen': fc.record({ grinder: count }),
  'person chosen': fc.record({ person: count }),
  'new bag': fc.record({ coffee: count }),
  roasted: fc.record({ coffee: count, days: count }),
  'room read': fc.record({
    temperature: fc.option(number, { nil: undefined }),
    humidity: fc.option(positive, { nil: undefined }),
  }),
  'grind moved': fc.record({ notches: notch, notch, advised: fc.option(number) }),
  purged: fc.constant({}),
  shot: fc
    .tuple(
      window,
      fc.record({
        shot: named,
        recipe: named,
        coffee: count,
        grinder: count,
        person,
        seconds,
        notch,
        dose,
        purged: fc.boolean(),
        practice: fc.boolean(),
      }),
    )
    .map(([{ opens, closes }, { notch: at, dose: of, purged, practice, ...rest }]) => ({
      ...rest,
      windowOpens: opens,
      windowCloses: closes,
      notch: at,
      dose: of,
      purged,
      practice,
    })),
  judged: fc.record({
    shot: named,
    looks: fc.subarray([...looks]),
    tastes: fc.subarray([...tastes]),
    action: text,
    serve: fc.boolean(),
  }),
  'drink measured': fc.record({
    shot: named,
    grams: fc.option(positive, { nil: undefined }),
    millilitres: fc.option(positive, { nil: undefined }),
  }),
  'strength measured': fc.record({ shot: named, percent: positive }),
  'hand-off': fc.record({
    shot: named,
    outcome: fc.constantFrom('served', 'expired', 'discarded'),
    into: fc.option(fc.constantFrom(...destinations), { nil: undefined }),
    margin: number,
  }),
  'drift warned': fc.record({ shot: named, direction: fc.constantFrom('slower', 'faster') }),
  'drill scored': fc.record({ drill: named, person, score: number, unit: text, passed: fc.boolean() }),
  'setting changed': fc.record({ setting: named, from: plain, to: plain }),
  lost: fc.record({
    what: fc.constantFrom('pour', 'hand-off'),
    shot: fc.option(named, { nil: undefined }),
    since: positive,
  }),
  fault: fc.record({ during: named, message: text }),
  'taken back': fc.record({ entry: named }),
  corrected: fc.record({ entry: named, seconds }),
  'person erased': fc.record({ person: count }),
  'recipe set': fc.record({
    recipe: named,
    dose,
    yield: fc.option(
      fc.oneof(
        fc.record({ by: fc.constant('mass' as const), grams: within(5, 200) }),
        fc.record({ by: fc.constant('volume' as const), millilitres: within(5, 200) }),
      ),
      { nil: undefined },
    ),
    window: fc.option(window, { nil: undefined }),
    basket: fc.option(within(35, 75), { nil: undefined }),
  }),
  named: fc.record({ what: fc.constantFrom('coffee', 'grinder', 'person'), number: count, name: named }),
}

/** Every kind of entry with every value that the log takes; each as JSON would have it. */
export const arbitraryEntry: fc.Arbitrary<Entry> = fc
  .constantFrom(...(Object.keys(byKind) as EntryKind[]))
  .chain((kind) =>
    fc
      .tuple(byKind[kind] as fc.Arbitrary<object>, named, fc.nat({ max: 4e9 }))
      .map(([rest, id, at]) => JSON.parse(JSON.stringify({ kind, id, at: at / 2, ...rest })) as Entry),
  )

/** Some records of one device, each with its own id. */
export const arbitraryRecords: fc.Arbitrary<LogRecord[]> = fc
  .array(fc.tuple(arbitraryEntry, fc.nat({ max: 2e12 })), { maxLength: 12 })
  .map((entries) =>
    entries.map(([entry, stamp], i): LogRecord => {
      const amends = entry.kind === 'taken back' || entry.kind === 'corrected'
      return {
        id: recordId(stamp, 'tablet01', i + 2),
        version: recordVersion,
        bar: 'bar',
        device: 'tablet01',
        sequence: i + 2,
        wall: '2026-03-03T08:00:00.123+01:00',
        ...(amends && {
          of: recordId(stamp, 'tablet01', i + 1),
          effect: { coffee: 1, shots: -1, inWindow: 0 },
        }),
        entry,
      }
    }),
  )
