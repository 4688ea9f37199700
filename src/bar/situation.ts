import type { SnapshotFrom } from 'xstate'
import type { barMachine } from './bar.machine.ts'
import type { Situation } from './mayBeSaid.ts'
import { drillGrammars } from './drill/drillGrammars.ts'
import { placeOf } from './place.ts'

/** What answers each question of the repair. */
const wantedBy = {
  guess: 'yes or no',
  'missed start': 'yes or no',
  'missed stop': 'yes or no',
  moved: 'yes or no',
  'time wanted': 'time',
  'which way': 'command',
} as const

/** Where the bar stands, read off its snapshot. */
export function situationOf(snapshot: SnapshotFrom<typeof barMachine>): Situation {
  const loop = snapshot.children.loop?.getSnapshot()
  const { question } = snapshot.context.repair
  const drill = snapshot.children.drill?.getSnapshot()
  const pours = loop?.context.pours ?? []
  return {
    place: loop ? placeOf(loop.value) : 'closed',
    listening: snapshot.value.listening,
    asking: snapshot.value.asking,
    waiting: snapshot.context.waiting.length,
    ...(pours.length > 0 && {
      pours: pours.length,
      mayStartUnnamed: pours.length === 1 && pours[0]?.group !== null,
    }),
    ...(question && { wanted: wantedBy[question.kind] }),
    ...(drill && { drill: drillGrammars(drill) }),
  }
}
