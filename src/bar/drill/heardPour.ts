import { pourTag } from '../loop/pourMarks.ts'

/** A drill has one pour at a time, on whichever group. */
export const heardPour = { id: 'drill', group: null } as const
export const drillPourTag = pourTag(heardPour.id)
