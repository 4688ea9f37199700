/**
 * What the page may load, as a Content Security Policy (W3C CSP Level 3): its own files, WebAssembly among them, and
 * no code made of text. Other origins are open for data only, because the user may name a server for the log and an
 * address for a model.
 */
export const pagePolicy = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "style-src 'self'",
  "img-src 'self' data: blob:",
  "media-src 'self' data: blob:",
  "worker-src 'self'",
  "manifest-src 'self'",
  "connect-src 'self' https: http://localhost:* http://127.0.0.1:*",
  "base-uri 'none'",
  "form-action 'none'",
].join('; ')

/**
 * The recogniser's thread has a policy of its own: the engine's glue code makes functions of text as it starts. It
 * sees no page and no storage, only sound and the model.
 */
const workerPolicy = [
  "default-src 'none'",
  "script-src 'self' 'unsafe-eval'",
  "connect-src 'self' https: http://localhost:* http://127.0.0.1:*",
].join('; ')

const everywhere = {
  'Permissions-Policy': 'microphone=(self), screen-wake-lock=(self), camera=(), geolocation=()',
  'Referrer-Policy': 'no-referrer',
  'X-Content-Type-Options': 'nosniff',
  'Cross-Origin-Opener-Policy': 'same-origin',
}

const isWorker = (path: string) => /\/hearing\.worker[^/]*\.js$/.test(path)
const isPage = (path: string) => path.endsWith('/') || path.endsWith('.html')

/** The headers that a file of the built app is to be served with. @param path from the app's own root, `/assets/a.js` */
export function headersFor(path: string): Record<string, string> {
  return {
    ...everywhere,
    // names with a checksum in them never change what they hold
    'Cache-Control': path.includes('/assets/') ? 'public, max-age=31536000, immutable' : 'no-cache',
    ...(isPage(path) && { 'Content-Security-Policy': `${pagePolicy}; frame-ancestors 'none'` }),
    ...(isWorker(path) && { 'Content-Security-Policy': workerPolicy }),
  }
}
