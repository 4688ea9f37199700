import * as v from 'valibot'
import { drillParts, drillScores, type Drill } from '../src/messages/drill.ts'

const text = v.pipe(v.string(), v.nonEmpty())
const count = v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(20))
const seconds = v.pipe(v.number(), v.minValue(1), v.maxValue(300))

const waitSchema = v.variant('for', [
  v.strictObject({ for: v.literal('next') }),
  v.strictObject({ for: v.literal('grind') }),
  v.strictObject({ for: v.literal('pour'), cups: v.optional(count) }),
  v.strictObject({ for: v.literal('window'), most: count }),
  v.strictObject({ for: v.literal('hand-off') }),
  v.strictObject({ for: v.literal('cups'), count, every: seconds }),
  v.strictObject({ for: v.literal('rest'), seconds }),
  v.strictObject({ for: v.literal('answer') }),
  v.strictObject({ for: v.literal('presses'), count }),
  v.strictObject({ for: v.literal('doses'), count }),
  v.strictObject({ for: v.literal('call'), seconds }),
])

const drillSchema = v.strictObject({
  number: count,
  name: text,
  score: v.picklist(drillScores),
  steps: v.pipe(
    v.array(
      v.strictObject({
        say: text,
        look: v.optional(text),
        caution: v.optional(text),
        why: v.optional(text),
        wait: waitSchema,
      }),
    ),
    v.nonEmpty(),
  ),
})

/**
 * Reads a drill file, `grammar/<language>/drills/<id>.json`: the drill for the runner, and its texts as sentences.
 *
 * @throws {RangeError} naming the drill and the first thing that is wrong in it
 */
export function readDrill(id: string, file: unknown): { drill: Drill; sentences: Record<string, string> } {
  const result = v.safeParse(drillSchema, file)
  if (!result.success) {
    const issue = result.issues[0]
    throw new RangeError(`drill ${id}: ${v.getDotPath(issue) ?? ''} ${issue.message}`)
  }
  const { number, name, score, steps } = result.output
  const sentences: Record<string, string> = { [`drill.${id}.name`]: name }
  const bare = steps.map((step, index) => {
    const parts = drillParts.filter((part) => step[part] !== undefined)
    for (const part of parts) sentences[`drill.${id}.${index + 1}.${part}`] = step[part] ?? ''
    return { parts, wait: step.wait as Drill['steps'][number]['wait'] }
  })
  return { drill: { id, number, score, steps: bare }, sentences }
}
