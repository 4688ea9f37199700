/** What the service worker tells the pages while it keeps the app for work without a network. */
export interface Keeping {
  kind: 'keeping'
  /** of the bytes, 0 to 1 */
  share: number
}

export const isKeeping = (message: unknown): message is Keeping =>
  typeof message === 'object' && message !== null && 'kind' in message && message.kind === 'keeping'
