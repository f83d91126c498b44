// The program of the command line, dist/cli.js, split so that a command loads only what it needs.
import { defineConfig } from 'vite';
import { bundled, license } from './.vite.bundled.js';
import { alias, packages } from './.vite.packages.js';

export default defineConfig({
  plugins: [packages(), bundled],
  resolve: { alias },
  build: {
    outDir: 'dist',
    emptyOutDir: false,
    target: 'node20',
    minify: true,
    ssr: true,
    license,
    rollupOptions: {
      input: { cli: 'src/cli/main.ts' },
      output: { entryFileNames: '[name].js', chunkFileNames: 'program/[name]-[hash].js', charset: 'ascii' },
    },
  },
  ssr: { noExternal: true, external: ['sharp', 'opencv-wasm'] },
});
