import type { SnapshotFrom } from 'xstate'
import {
  type barMachine,
  type drillMachine,
  type LoopContext,
  mayBeSaid,
  type Settings,
  type Situation,
  situationOf,
} from '../../bar/index.ts'
import type { GrammarName } from '../../messages/grammarName.ts'
import type { Companion } from '../companion.ts'

type BarSnapshot = SnapshotFrom<typeof barMachine>

/** What the screen reads of the machines: their state as it is now, and the time. Nothing here is kept elsewhere. */
export interface BarView {
  readonly bar: BarSnapshot['context']
  readonly loop: LoopContext
  readonly drill: SnapshotFrom<typeof drillMachine> | undefined
  readonly situation: Situation
  /** the grammars that are open */
  readonly open: readonly GrammarName[]
  readonly settings: Settings
  /** start of the pour that runs, bar clock; `null` when none does */
  readonly pourStart: number | null
  /** bar clock, as of the last frame while a clock runs, else of the last event */
  readonly now: number
}

/** Follows the machines. Frames are only drawn while a clock runs. Call it while a component is made. */
export function watchBar({ bar, clock }: Pick<Companion, 'bar' | 'clock'>): BarView {
  const loopOf = (snapshot: BarSnapshot): LoopContext => {
    const loop = snapshot.children.loop?.getSnapshot().context
    if (!loop) throw new Error('the bar has no loop')
    return loop
  }
  const first = bar.getSnapshot()
  let snapshot = $state.raw(first)
  let loop = $state.raw(loopOf(first))
  let drill = $state.raw(first.children.drill?.getSnapshot())
  let situation = $state.raw(situationOf(first))
  let now = $state(clock.now())

  const isPouring = $derived(drill ? drill.value === 'pouring' : loop.pours.length > 0)
  const pourStart = $derived(
    isPouring ? ((drill ? drill.context.start : loop.pours.at(-1)?.start) ?? null) : null,
  )
  const isRunning = $derived(isPouring || situation.waiting > 0)
  const open = $derived(mayBeSaid(situation))

  function look() {
    snapshot = bar.getSnapshot()
    loop = loopOf(snapshot)
    drill = snapshot.children.drill?.getSnapshot()
    const next = situationOf(snapshot)
    if (JSON.stringify(next) !== JSON.stringify(situation)) situation = next
    now = clock.now()
  }
  $effect(() => {
    const { unsubscribe } = bar.subscribe(look)
    look()
    return unsubscribe
  })
  $effect(() => {
    if (!isRunning) return
    let frame = requestAnimationFrame(function draw() {
      now = clock.now()
      frame = requestAnimationFrame(draw)
    })
    return () => cancelAnimationFrame(frame)
  })

  return {
    get bar() {
      return snapshot.context
    },
    get loop() {
      return loop
    },
    get drill() {
      return drill
    },
    get situation() {
      return situation
    },
    get open() {
      return open
    },
    get settings() {
      return snapshot.context.settings
    },
    get pourStart() {
      return pourStart
    },
    get now() {
      return now
    },
  }
}
