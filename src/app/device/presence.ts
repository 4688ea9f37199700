import { drillPourTag, handOffTag, pourTag } from '../../bar/index.ts'
import type { SentenceId } from '../../messages/cue.ts'
import { audioContext } from '../../speaking/index.ts'
import type { Companion } from '../companion.ts'
import type { BarView } from '../live/watchBar.svelte.ts'

/** Seconds of silence of the devices before a change of theirs is told: plugging in makes several. */
const settleTime = 1

/**
 * Keeps the tool there while a shift is open, and tells when it was not: the screen stays on; a hidden page, held
 * sound and other devices are told aloud as soon as they can be. @returns a function that ends it
 */
export function keepPresent({ companion, view }: { companion: Companion; view: BarView }): () => void {
  const context = audioContext()
  const ending = new AbortController()
  const { signal } = ending
  const tell = (sentence: SentenceId) => companion.tell({ type: 'trouble', sentence })

  // --- the screen stays on while a shift is open or a drill is done
  const isAtWork = () => view.situation.place !== 'closed' || view.drill !== undefined
  let lock: WakeLockSentinel | null = null
  let wasWanted = false
  async function lockOrRelease() {
    const isWanted = isAtWork() && document.visibilityState === 'visible' && !signal.aborted
    // the bar reports ten times a second: one refusal is enough until the page is shown or work begins again
    const isNews = isWanted !== wasWanted || lock?.released === true
    wasWanted = isWanted
    if (!isNews) return
    if (!isWanted) {
      await lock?.release()
      lock = null
    } else if (!lock || lock.released) {
      // refused on a low battery; the shift goes on without
      lock = (await navigator.wakeLock?.request('screen').catch(() => null)) ?? null
    }
  }
  // one after the other: two that overlap would ask for two locks, and one of them would never be released
  let changing = Promise.resolve()
  const keepAwake = () => void (changing = changing.then(lockOrRelease))
  const follow = companion.bar.subscribe(keepAwake)
  keepAwake()

  // --- the page goes out of sight
  document.addEventListener(
    'visibilitychange',
    () => {
      keepAwake()
      if (document.visibilityState === 'hidden' && isAtWork()) tell('trouble.hidden')
      if (document.visibilityState === 'visible') resume()
    },
    { signal },
  )

  // --- the system holds the sound, for a call say, and gives it back
  let isHeld = false
  /** During a call it is refused; the end of the call brings the next change of state. */
  const resume = () => void context.resume().catch(() => undefined)
  context.addEventListener(
    'statechange',
    () => {
      if (context.state !== 'running') {
        isHeld = true
        resume()
      } else if (isHeld) {
        isHeld = false
        soundIsBack()
      }
    },
    { signal },
  )

  /** What was scheduled before is late by the time that was missed: it is taken back and scheduled anew. */
  function soundIsBack() {
    const tags = [
      drillPourTag,
      ...view.loop.pours.map(({ id }) => pourTag(id)),
      ...view.bar.waiting.map(handOffTag),
    ]
    for (const tag of tags) companion.announcer.perform({ kind: 'cancel', tag })
    tell('trouble.sound-held')
    companion.tell({ type: 'resumed', at: companion.clock.now() })
  }

  // --- a headset is plugged in, pulled out or switched
  let settling: ReturnType<typeof setTimeout> | undefined
  let before: string | null = null
  const devices = async () => {
    const list = await navigator.mediaDevices.enumerateDevices()
    return list
      .map(({ kind, deviceId, label }) => `${kind} ${deviceId} ${label}`)
      .sort()
      .join('\n')
  }
  async function compare() {
    const now = await devices()
    if (before !== null && now !== before && companion.ear.state.kind === 'listening')
      tell('trouble.devices-changed')
    before = now
  }
  if ('mediaDevices' in navigator)
    devices().then(
      (list) => (before = list),
      () => undefined,
    )
  navigator.mediaDevices?.addEventListener(
    'devicechange',
    () => {
      clearTimeout(settling)
      settling = setTimeout(() => void compare(), settleTime * 1000)
    },
    { signal },
  )

  return () => {
    ending.abort()
    clearTimeout(settling)
    follow.unsubscribe()
    keepAwake()
  }
}
