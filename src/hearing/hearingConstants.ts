/**
 * Every number that was fitted for the decoder, in one place. Scores and prices are natural logarithms. How they were fitted:
 * docs/decisions.md, "The decoder".
 */
export const decoding = {
  /** paths this much worse than the best are given up */
  beam: 20,
  /** paths with different words kept in each place of the search */
  width: 3,
  /** how much of the logarithm of the number of ways to go on each word costs */
  branching: 0.5,
  /** the price of a command that begins after talk in the same utterance */
  afterTalk: 14,
  talk: {
    /** a common word, a command's included */
    word: 6,
    /** a stretch of phones that is no common word, and each phone in it */
    unknown: 2,
    phone: -0.7,
  },
  /** seconds from the frame in which the network says that a word begins to its onset */
  onsetShift: 0,
} as const

/** From the search's scores to the logarithm of the odds that an utterance was meant as a command. */
export const calibration = {
  /** odds = scale * (score over talk - even) */
  scale: 1,
  even: 2,
  /** beyond this the evidence is as good as certain, either way */
  most: 7,
} as const

/** Seconds of silence after which an utterance is over. */
export const endOfUtterance = {
  /** after a command to which nothing can be added */
  complete: 0.3,
  /** after a command to which more words can be added */
  open: 0.45,
} as const
