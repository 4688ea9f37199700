/**
 * Whether a sentence teaches what can be said, or what cannot. Only such a sentence may hold a command, and nobody obeys
 * it.
 */
export const teaches = (sentence: string): boolean =>
  /^(help\.|why-not\.|repair\.|greeting\.first$|talk\.paused$|model\.missing)/.test(sentence)
