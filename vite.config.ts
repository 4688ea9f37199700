import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { svelte } from '@sveltejs/vite-plugin-svelte'
import { defineConfig, type Plugin } from 'vite'
import { VitePWA } from 'vite-plugin-pwa'
import { headersFor, pagePolicy } from './headers.ts'
import { kernelPlugin } from './src/hearing/decoder/kernel/compileKernel.ts'
import { licencesText, shippedPackages } from './licences.ts'

const outDir = 'dist'

/**
 * Puts the page's policy into the page itself, for hosts that set no headers; writes all headers into a file that
 * many static hosts read; and sets them in `npm start`.
 */
const secured: Plugin = {
  name: 'secured',
  transformIndexHtml: {
    order: 'post',
    handler: (_html, { bundle }) =>
      bundle && [
        {
          tag: 'meta',
          attrs: { 'http-equiv': 'Content-Security-Policy', content: pagePolicy },
          injectTo: 'head-prepend',
        },
      ],
  },
  generateBundle: {
    order: 'post',
    handler(_options, bundle) {
      const paths = ['/', '/index.html', ...Object.keys(bundle).map((name) => `/${name}`)]
      const rules = paths.map((path) =>
        [path, ...Object.entries(headersFor(path)).map(([name, value]) => `  ${name}: ${value}`)].join('\n'),
      )
      this.emitFile({ type: 'asset', fileName: '_headers', source: `${rules.join('\n')}\n` })
    },
  },
  configurePreviewServer({ middlewares }) {
    middlewares.use((request, response, next) => {
      const { pathname } = new URL(request.url ?? '/', 'http://localhost')
      for (const [name, value] of Object.entries(headersFor(pathname))) response.setHeader(name, value)
      next()
    })
  },
}

/** Puts the licence, the notices and the licences of every shipped package beside the app. */
const licensed: Plugin = {
  name: 'licensed',
  apply: 'build',
  generateBundle() {
    const files = {
      'LICENSE.txt': readFileSync('LICENSE', 'utf8'),
      'NOTICE.txt': readFileSync('NOTICE', 'utf8'),
      'LICENSES-OF-PACKAGES.txt': licencesText(shippedPackages(import.meta.dirname)),
    }
    for (const [fileName, source] of Object.entries(files)) this.emitFile({ type: 'asset', fileName, source })
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
    kernelPlugin(),
    secured,
    licensed,
    VitePWA({
      strategies: 'injectManifest',
      srcDir: 'src/app/device',
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
              bytes: entry.size,
              // some hosts, `npm start` among them, have the browser unpack .gz: then no checksum of the file fits.
              // The archive has its own, which is looked at when it is opened
              ...(!entry.url.endsWith('.gz') && { integrity: checksum(entry.url) }),
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
  worker: { format: 'es', plugins: () => [kernelPlugin()] },
})
