/** The views, in the order of their links; a view's address is its name after the `#`. */
export const views = ['bar', 'drills', 'shift', 'history', 'settings', 'help'] as const
export type View = (typeof views)[number]

/** The view of an address; the bar for any other. */
export const viewOf = (hash: string): View => views.find((view) => `#${view}` === hash) ?? 'bar'
