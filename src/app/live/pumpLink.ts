import type { Bar, BarEvent } from '../../bar/index.ts'
import { createPumpEar } from '../../hearing/index.ts'
import type { BarClock } from '../../messages/clock.ts'

interface PumpLinkOptions {
  bar: Bar
  clock: BarClock
  context: AudioContext
  send: (event: BarEvent) => void
  /** the microphone gives no sound for it */
  onDeaf: () => void
}

/**
 * Listens to the pump while the setting asks for it: what is heard goes to the bar, and every shot that was timed by word, key or
 * pedal is a lesson. A shot that the pump itself began or ended teaches nothing.
 */
export function linkPump({ bar, clock, context, send, onDeaf }: PumpLinkOptions): { close(): void } {
  const ear = createPumpEar({ context, clock })
  /** onsets and ends as the pump gave them */
  let heard: number[] = []
  let isOpen = false

  ear.onNews((news) => {
    const at = clock.now()
    switch (news.kind) {
      case 'on':
        heard = [...heard.slice(-20), news.onset]
        return send({ type: 'pump began', onset: news.onset, at })
      case 'off':
        heard = [...heard.slice(-20), news.onset, news.end]
        return send({ type: 'pump ended', onset: news.onset, end: news.end, at })
      case 'learnt':
        return send({ type: 'pump known', isKnown: news.knowledge.isReady, at })
      case 'failed':
        isOpen = false
        return onDeaf()
      case 'pausing':
      case 'resumed':
    }
  })

  const follow = (): void => {
    const isWanted = bar.getSnapshot().context.settings.pump
    if (isWanted === isOpen) return
    isOpen = isWanted
    if (isWanted) void ear.open()
    else ear.close()
  }
  bar.subscribe(follow)
  follow()
  bar.on('forget pump', () => ear.forget())
  bar.on('entry', ({ entry }) => {
    if (entry.kind !== 'shot' || entry.practice || !isOpen) return
    // the loop has the times when it is done with the event
    queueMicrotask(() => {
      const shot = bar.getSnapshot().children.loop?.getSnapshot().context.current
      if (shot?.start === undefined || shot.end === undefined) return
      if (!heard.includes(shot.start) && !heard.includes(shot.end)) ear.taught(shot.start, shot.end)
    })
  })
  return { close: () => ear.close() }
}
