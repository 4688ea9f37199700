/**
 * What the app may load, as a Content Security Policy (W3C CSP Level 3). The engine compiles WebAssembly, hence
 * 'wasm-unsafe-eval'; it needs no 'unsafe-eval'. Sound is kept in data and blob addresses. Other origins are open for
 * data only, because the user may name a server for the log and an address for a model.
 */
export const contentSecurityPolicy = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "style-src 'self'",
  "img-src 'self' data: blob:",
  "media-src 'self' data: blob:",
  "font-src 'self'",
  "worker-src 'self'",
  "manifest-src 'self'",
  "connect-src 'self' https: http://localhost:* http://127.0.0.1:*",
  "base-uri 'none'",
  "form-action 'none'",
].join('; ')

/** Headers of every file. A host that cannot set them still has the policy in the page itself. */
export const headers: Readonly<Record<string, string>> = {
  'Content-Security-Policy': `${contentSecurityPolicy}; frame-ancestors 'none'`,
  'Permissions-Policy': 'microphone=(self), screen-wake-lock=(self), camera=(), geolocation=()',
  'Referrer-Policy': 'no-referrer',
  'X-Content-Type-Options': 'nosniff',
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cache-Control': 'no-cache',
}
