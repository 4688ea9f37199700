/** Where in a word a phone is; the engine has a phone of its own for each. */
export const wordPositions = ['internal', 'begin', 'end', 'single'] as const
export type WordPosition = (typeof wordPositions)[number]
