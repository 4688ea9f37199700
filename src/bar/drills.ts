import { progressCue, withScore } from './drill/drillProgress.ts'
import type { BarAction } from './effect.ts'
import { recipeOf } from './loop/loopContext.ts'
import { earcon, say } from './say.ts'

/** Drills: asked for, ended, and how far a person has come. */
export const drillsActions = {
  /** Takes what a drill begins with from where the loop is. */
  prepareDrill: (context, event, { loop }) => {
    if (event.type !== 'drill') return {}
    const drill = context.drills.find(({ number }) => number === event.slots.number)
    if (!drill) return {}
    const { recipe, coffee, grinder, person, notch, randomSeed } = loop
    return {
      change: {
        drillInput: {
          drill,
          settings: context.settings,
          recipe: recipeOf(loop),
          recipeName: recipe,
          coffee,
          grinder,
          person,
          notch,
          randomSeed,
          now: event.onset,
        },
      },
    }
  },

  unknownDrill: (context, event) =>
    event.type === 'drill'
      ? { cues: [say('drill.unknown', { number: event.slots.number, count: context.drills.length })] }
      : {},

  alreadyInDrill: () => ({ cues: [earcon('not understood'), say('trouble.not-now')] }),

  endDrill: (context, event, { loop }) =>
    event.type === 'drill ended'
      ? {
          change: {
            drillInput: null,
            scores: event.score ? withScore(context.scores, event, loop.person) : context.scores,
          },
        }
      : {},

  progress: (context, event, { loop }) =>
    event.type === 'progress' ? { cues: progressCue(context.scores, loop.person, event.onset) } : {},
} satisfies Record<string, BarAction>
