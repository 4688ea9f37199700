import { openParameterFile } from './parameterFile.ts'

/** How long a state is held, as probabilities of staying; one list of states a matrix. */
export type TransitionMatrices = readonly (readonly number[])[]

/**
 * Reads `transition_matrices`: left-to-right models without skips.
 *
 * @returns the chance to stay in each emitting state; leaving is the rest
 * @throws Error when a model skips or goes back
 */
export function readTransitionMatrices(bytes: Uint8Array): TransitionMatrices {
  const reader = openParameterFile(bytes, 'transition_matrices')
  const [matrices = 0, emitting = 0, states = 0] = reader.int32s(3)
  if (reader.int32() !== matrices * emitting * states) throw new Error('transition_matrices: unexpected size')
  return Array.from({ length: matrices }, (_, matrix) =>
    Array.from({ length: emitting }, (_, state) => {
      const counts = reader.float32s(states)
      const stay = counts[state] ?? 0
      const leave = counts[state + 1] ?? 0
      if (counts.some((count, to) => count > 0 && to !== state && to !== state + 1))
        throw new Error(`transition_matrices: matrix ${matrix} leaves state ${state} by a skip`)
      return stay / (stay + leave)
    }),
  )
}
