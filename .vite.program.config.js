// The program of the command line, dist/cli.js, split so that a command loads only what it needs.
import { defineConfig } from 'vite';
import { bundled, license } from './.vite.bundled.js';

export default defineConfig({
  plugins: [bundled],
  build: {
    outDir: 'dist',
    emptyOutDir: false,
    target: 'node20',
    minify: true,
    ssr: true,
    license,
    rollupOptions: {
      input: { cli: 'src/cli/main.ts' },
      output: { entryFileNames: '[name].js', chunkFileNames: 'program/[name]-[hash].js' },
    },
  },
  ssr: { noExternal: true, external: ['sharp', 'opencv-wasm'] },
});
