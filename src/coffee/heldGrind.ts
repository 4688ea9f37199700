import type { ActionKind, Judgement } from './judgement.ts'

/** Judgements after which the adviser chooses the grind; after any other it is held. */
const grindIsOpen: readonly ActionKind[] = ['leave', 'finer', 'coarser', 'technique']

/**
 * The move that a judgement allows, of the move that would be best by the times alone. Where the shot is to be mended by the
 * hand, the beans or the yield, or still held old grounds, the grind is held. Where the look or the taste is sure of
 * the grind, it moves by at least a notch that way.
 */
export function heldTo(
  { action, sure }: Pick<Judgement, 'action'> & { readonly sure?: boolean },
  best: number,
): number {
  if (!grindIsOpen.includes(action)) return 0
  if (sure && action === 'finer') return Math.max(best, 1)
  if (sure && action === 'coarser') return Math.min(best, -1)
  return best
}
