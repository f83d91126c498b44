// The types of the library as one file, dist/index.d.ts.
import { defineConfig } from 'rolldown';
import { dts } from 'rolldown-plugin-dts';

export default defineConfig({
  input: 'node_modules/.cache/types/index.d.ts',
  plugins: [dts({ dtsInput: true })],
  output: { dir: 'dist' },
});
