// The library, dist/index.js, and dist/cli.js, which loads the program that .vite.program.config.js builds.
import { defineConfig } from 'vite';

export default defineConfig({
  build: {
    outDir: 'dist',
    target: 'node20',
    minify: true,
    ssr: true,
    rollupOptions: {
      input: { index: 'src/index.ts', cli: 'src/cli/load.ts' },
      output: { entryFileNames: '[name].js', chunkFileNames: 'chunk/[name]-[hash].js' },
    },
  },
  ssr: { noExternal: true, external: ['sharp', 'opencv-wasm'] },
});
