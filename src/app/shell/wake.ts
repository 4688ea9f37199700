/** Keys that move about the page, or do nothing by themselves: they do not wake the tool. */
const quiet = ['Tab', 'Shift', 'Control', 'Alt', 'Meta']

/**
 * Calls back at the first touch or key, without which browsers give neither sound nor microphone.
 * @returns a function that stops waiting
 */
export function onWake(wake: () => void): () => void {
  const waiting = new AbortController()
  const { signal } = waiting
  addEventListener('click', wake, { signal })
  addEventListener('keydown', ({ key }) => quiet.includes(key) || wake(), { signal })
  return () => waiting.abort()
}
