import { defineConfig } from 'vite'

// Nothing is inlined: the pages are served under a policy of "default-src 'self'", which a data: address would break.
export default defineConfig({
  root: new URL('.', import.meta.url).pathname,
  base: '/',
  build: {
    outDir: '../dist/dashboard',
    emptyOutDir: true,
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    target: 'es2022',
  },
})
