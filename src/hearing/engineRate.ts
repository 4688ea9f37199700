/** What the recognisers are fed with, Hz. */
export const engineRate = 16000
