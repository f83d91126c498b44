// The program of the command line, dist/program, split so that a command loads only what it needs; as functions, for only such
// can be loaded compiled. Once it stands it works through the example, and what V8 compiled of it is kept beside it.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { defineConfig } from 'vite';

const example = 'calibration/fern-screen';
const calls = (folder) => [
  ['--help'],
  ['list', `${example}/fern-screen.svg`],
  ['fit', `${example}/job.yaml`],
  ['check', `${example}/job.yaml`],
  ['cut', `${example}/job.yaml`, '-o', join(folder, 'cut.svg')],
  ['cut', `${example}/job.yaml`, '-o', join(folder, 'cut.dxf')],
];

/** Made a function, as it is run, and without letters beyond ASCII, which would double the room of all others. */
const asRun = (code) => {
  const plain = code.replace(
    /[\u0080-\uffff]/g,
    (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
  return `(function (exports, require, module, __filename) {'use strict';${plain}\n})`;
};

const compiled = {
  name: 'compiled',
  generateBundle(_, bundle) {
    for (const part of Object.values(bundle)) if (part.type === 'chunk') part.code = asRun(part.code);
  },
  async closeBundle() {
    const { run, keepCompiled } = await import(new URL('dist/cli.js', import.meta.url).href);
    const folder = mkdtempSync(join(tmpdir(), 'reseat-'));
    try {
      for (const call of calls(folder)) {
        let told = '';
        const stderr = {
          write: (text) => {
            told += text;
          },
          isTTY: false,
        };
        const stdout = { write: () => {}, isTTY: false };
        const status = await run(call, { cwd: import.meta.dirname, stdout, stderr });
        if (status > 1) throw new Error(`reseat ${call.join(' ')}\n${told}`);
      }
      keepCompiled();
    } finally {
      rmSync(folder, { recursive: true });
    }
  },
};

export default defineConfig({
  plugins: [compiled],
  build: {
    outDir: 'dist/program',
    target: 'node20',
    minify: true,
    ssr: true,
    rollupOptions: {
      input: { cli: 'src/cli/main.ts' },
      output: {
        format: 'cjs',
        dynamicImportInCjs: false,
        entryFileNames: '[name].cjs',
        chunkFileNames: 'chunk/[name]-[hash].cjs',
      },
    },
  },
  ssr: { noExternal: true, external: ['sharp', 'opencv-wasm'] },
});
