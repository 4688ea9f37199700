import * as v from 'valibot'
import { entryShape } from '../messages/entry.ts'
import { oddField } from './entryRanges.ts'
import { largestSequence, readRecordId } from './record.ts'

/** An entry that is whole and in which every number makes sense. */
export const entrySchema = v.pipe(
  entryShape,
  v.rawCheck(({ dataset, addIssue }) => {
    if (!dataset.typed) return
    const odd = oddField(dataset.value)
    if (odd)
      addIssue({
        message: `must be from ${odd.low} to ${odd.high}`,
        path: [
          {
            type: 'object',
            origin: 'value',
            input: { ...dataset.value },
            key: odd.field,
            value: odd.value,
          },
        ],
        input: odd.value,
        expected: `from ${odd.low} to ${odd.high}`,
      })
  }),
)

const whole = v.pipe(v.number(), v.integer())

/** A record of the present version. */
export const recordSchema = v.strictObject({
  id: v.pipe(
    v.string(),
    v.check((id) => readRecordId(id) !== null, 'is not a record id'),
  ),
  version: v.pipe(whole, v.minValue(1)),
  bar: v.pipe(v.string(), v.regex(/^[a-z0-9-]{1,40}$/, 'is not a bar name')),
  device: v.pipe(v.string(), v.regex(/^[a-z0-9]{4,16}$/, 'is not a device name')),
  sequence: v.pipe(whole, v.minValue(1), v.maxValue(largestSequence)),
  wall: v.pipe(
    v.string(),
    v.regex(
      /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,3})?(Z|[+-]\d\d:\d\d)$/,
      'is not a time with an offset (RFC 3339)',
    ),
  ),
  of: v.optional(
    v.pipe(
      v.string(),
      v.check((id) => readRecordId(id) !== null, 'is not a record id'),
    ),
  ),
  effect: v.optional(
    v.strictObject({
      coffee: v.pipe(whole, v.minValue(0), v.maxValue(1_000_000)),
      shots: v.pipe(whole, v.minValue(-1), v.maxValue(1)),
      inWindow: v.pipe(whole, v.minValue(-1), v.maxValue(1)),
    }),
  ),
  entry: entrySchema,
})

/** What is wrong with a value, in a line: which field, and why. */
export function describeIssues(issues: readonly v.BaseIssue<unknown>[]): string {
  return issues.map((issue) => `${v.getDotPath(issue) ?? 'row'}: ${issue.message}`).join('; ')
}
