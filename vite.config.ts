import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { svelte } from '@sveltejs/vite-plugin-svelte'
import { defineConfig, type Plugin } from 'vite'
import { VitePWA } from 'vite-plugin-pwa'
import { contentSecurityPolicy, headers } from './headers.ts'

const outDir = 'dist'

/** Puts the policy into the built page, and the headers into a file that many static hosts read. */
const secured: Plugin = {
  name: 'secured',
  apply: 'build',
  transformIndexHtml: () => [
    {
      tag: 'meta',
      attrs: { 'http-equiv': 'Content-Security-Policy', content: contentSecurityPolicy },
      injectTo: 'head-prepend',
    },
  ],
  generateBundle() {
    const lines = Object.entries(headers).map(([name, value]) => `  ${name}: ${value}`)
    this.emitFile({ type: 'asset', fileName: '_headers', source: `/*\n${lines.join('\n')}\n` })
  },
}

const checksum = (url: string) =>
  `sha384-${createHash('sha384')
    .update(new Uint8Array(readFileSync(join(outDir, url))))
    .digest('base64')}`

export default defineConfig({
  base: './',
  plugins: [
    svelte(),
    secured,
    VitePWA({
      strategies: 'injectManifest',
      srcDir: 'src/app',
      filename: 'serviceWorker.ts',
      injectRegister: null,
      includeManifestIcons: false,
      injectManifest: {
        globPatterns: ['**/*.{html,js,css,svg,png,wasm,gz,opus,json}'],
        maximumFileSizeToCacheInBytes: 20 * 1024 * 1024,
        manifestTransforms: [
          (entries) => ({
            manifest: entries.map((entry) => ({
              ...entry,
              integrity: checksum(entry.url),
              bytes: entry.size,
            })),
          }),
        ],
      },
      manifest: {
        name: 'Earshot',
        short_name: 'Earshot',
        description: 'Keeps espresso shots in their window, by voice',
        lang: 'en',
        start_url: './',
        scope: './',
        display: 'standalone',
        background_color: '#15100c',
        theme_color: '#15100c',
        icons: [
          { src: 'icons/earshot.svg', sizes: 'any', type: 'image/svg+xml', purpose: 'any' },
          { src: 'icons/earshot-192.png', sizes: '192x192', type: 'image/png' },
          { src: 'icons/earshot-512.png', sizes: '512x512', type: 'image/png', purpose: 'any' },
          { src: 'icons/earshot-maskable.png', sizes: '512x512', type: 'image/png', purpose: 'maskable' },
        ],
      },
    }),
  ],
  build: { outDir, target: 'es2022', chunkSizeWarningLimit: 1500 },
  worker: { format: 'es' },
  preview: { headers: { ...headers } },
})
