import type { SnapshotFrom } from 'xstate'
import type { barMachine } from './bar.machine.ts'
import type { Situation } from './mayBeSaid.ts'
import { drillGrammars } from './drill/drillGrammars.ts'
import { placeOf } from './place.ts'

/** Where the bar stands, read off its snapshot. */
export function situationOf(snapshot: SnapshotFrom<typeof barMachine>): Situation {
  const loop = snapshot.children.loop?.getSnapshot()
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
    ...(drill && { drill: drillGrammars(drill) }),
  }
}
