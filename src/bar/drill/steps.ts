import { createBench } from '../../coffee/index.ts'
import type { Cue, SentenceId } from '../../messages/cue.ts'
import type { DrillPart } from '../../messages/drill.ts'
import { earcon, say } from '../say.ts'
import { nowOf, stepOf, type DrillAction, type DrillContext, type DrillEffect } from './drillContext.ts'
import { drillPourTag } from './heardPour.ts'
import { scoreDrill } from './score.ts'

const partOf = (context: DrillContext, part: DrillPart): SentenceId =>
  `drill.${context.drill.id}.${context.step + 1}.${part}`

/** What a step says is taken back when the step is over: cut off by a warning, it would be said once more. */
const stepTag = 'drill step'
const forgetStep: Cue = { kind: 'cancel', tag: stepTag }

/** Parts of the step in hand, spoken; a caution is said to its end, whatever comes. */
const parts = (context: DrillContext, ...wanted: DrillPart[]): Cue[] =>
  wanted
    .filter((part) => stepOf(context).parts.includes(part))
    .map((part) => ({
      ...say(partOf(context, part)),
      ...(part !== 'caution' && { tag: stepTag }),
    }))

/** Goes to a step and gives its instruction; a caution is never left out. */
function goTo(context: DrillContext, step: number, at: number): DrillEffect {
  const there = { ...context, step }
  return {
    change: { step, since: at, start: null, brought: 0, endedHere: 0, isFulfilled: false },
    cues: [{ kind: 'cancel', tag: drillPourTag }, forgetStep, ...parts(there, 'caution', 'say', 'look')],
  }
}

/** Something that the step does not wait for: the step repeats what it does wait for. */
export const notNow = (context: DrillContext): DrillEffect => ({
  cues: [earcon('not understood'), say('trouble.not-now'), ...parts(context, 'say')],
})

/** The steps of a drill, and the questions about them. */
export const stepActions = {
  begin: (context) => {
    const effect = goTo(context, 0, context.now)
    return {
      ...effect,
      cues: [say('drill.began', { name: `drill.${context.drill.id}.name` }), ...(effect.cues ?? [])],
    }
  },

  advance: (context, event) => goTo(context, context.step + 1, nowOf(context, event)),

  back: (context, event) =>
    context.step === 0
      ? { cues: [say('drill.first-step')] }
      : goTo(context, context.step - 1, nowOf(context, event)),

  why: (context) => ({
    cues: stepOf(context).parts.includes('why') ? parts(context, 'why') : [say('drill.no-why')],
  }),

  help: () => ({ cues: [say('help.drill')] }),

  status: (context) => ({
    cues: [
      say('place.drill', {
        name: `drill.${context.drill.id}.name`,
        step: context.step + 1,
        steps: context.drill.steps.length,
      }),
      ...parts(context, 'say'),
    ],
  }),

  notNow,

  hush: () => ({ cues: [{ kind: 'hush' }] }),

  report: () => ({ tell: [{ type: 'report wanted', of: 'shift' }] }),
  reportWeek: () => ({ tell: [{ type: 'report wanted', of: 'week' }] }),

  fulfil: () => ({ change: { isFulfilled: true } }),

  endRest: () => ({ change: { isFulfilled: true }, cues: [say('drill.rest')] }),

  finish: (context, event) => {
    const score = scoreDrill(context)
    const at = nowOf(context, event)
    return {
      cues: [forgetStep, say('drill.done'), ...(score ? [say(score.sentence, score.values)] : [])],
      entries: score
        ? [
            {
              kind: 'drill scored',
              at,
              drill: context.drill.id,
              ...(context.person !== null && { person: context.person }),
              score: score.score,
              unit: score.unit,
              passed: score.passed,
            },
          ]
        : [],
      tell: [{ type: 'drill ended', drill: context.drill.id, score, at }],
    }
  },

  leave: (context, event) => ({
    cues: [{ kind: 'cancel', tag: drillPourTag }, forgetStep, say('drill.stopped')],
    tell: [{ type: 'drill ended', drill: context.drill.id, score: null, at: nowOf(context, event) }],
  }),

  forgetPerson: (context, event) =>
    event.type === 'erased' && event.person === context.person ? { change: { person: null } } : {},

  useSettings: (context, event) =>
    event.type === 'new settings'
      ? {
          change: {
            settings: event.settings,
            bench: event.settings.practice ? (context.bench ?? createBench(context.randomSeed)) : null,
          },
        }
      : {},
} satisfies Record<string, DrillAction>
