// One bundle for the library and one for the command line, split so that a command loads only what it needs.
import { defineConfig } from 'vite';

export default defineConfig({
  build: {
    outDir: 'dist',
    target: 'node20',
    minify: false,
    ssr: true,
    rollupOptions: {
      input: { index: 'src/index.ts', cli: 'src/cli/main.ts' },
      output: { entryFileNames: '[name].js', chunkFileNames: 'chunk/[name]-[hash].js' },
    },
  },
  ssr: { noExternal: true, external: ['sharp', 'opencv-wasm'] },
});
