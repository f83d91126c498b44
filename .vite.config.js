// One build for the library and the command line, split so that a command loads only what it needs.
import { defineConfig } from 'vite';

// The library's entry stands before src/index.ts: were that itself an entry, every chunk that imports from it would
// load all of it.
const libraryEntry = {
  name: 'library-entry',
  resolveId: (id) => (id === 'library' ? '\0library' : undefined),
  load: (id) => (id === '\0library' ? "export * from '/src/index.ts';" : undefined),
};

export default defineConfig({
  plugins: [libraryEntry],
  build: {
    outDir: 'dist',
    target: 'node20',
    minify: true,
    ssr: true,
    rollupOptions: {
      input: { index: 'library', cli: 'src/cli/main.ts' },
      output: { entryFileNames: '[name].js', chunkFileNames: 'chunk/[name]-[hash].js' },
    },
  },
  ssr: { noExternal: true, external: ['sharp', 'opencv-wasm'] },
});
