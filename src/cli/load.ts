/**
 * Loads the built program (dist/program, each file the function of a CommonJS module) with the code that V8 compiled while
 * it was built: a command starts a tenth of a second sooner. A Node other than the one that built it refuses such code;
 * the program is then compiled as any other is.
 */
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Script } from 'node:vm';
import type * as Program from './main.js';

/** From dist/cli.js, which this file becomes. */
const entry = fileURLToPath(new URL('./program/cli.cjs', import.meta.url));
const compiledOf = (file: string): string => `${file}.compiled`;

const modules = new Map<string, { exports: unknown }>();
const scripts = new Map<string, Script>();

const load = (file: string): unknown => {
  const known = modules.get(file);
  if (known !== undefined) return known.exports;
  const compiled = compiledOf(file);
  // The build leaves ASCII alone.
  const script = new Script(readFileSync(file, 'latin1'), {
    filename: file,
    ...(existsSync(compiled) ? { cachedData: readFileSync(compiled) } : {}),
  });
  scripts.set(file, script);
  const module = { exports: {} };
  modules.set(file, module);
  const others = createRequire(file);
  const require = (name: string): unknown =>
    name.startsWith('.') ? load(resolve(dirname(file), name)) : others(name);
  script.runInThisContext()(module.exports, require, module, file);
  return module.exports;
};

const program = (): typeof Program => load(entry) as typeof Program;

/** Runs the process's own call. */
export const main: typeof Program.main = (argv) => program().main(argv);

/** Runs a call against given streams; returns its exit status. */
export const run: typeof Program.run = (argv, io) => program().run(argv, io);

/** Writes what V8 has compiled of the program by now beside it. */
export const keepCompiled = (): void => {
  for (const [file, script] of scripts) writeFileSync(compiledOf(file), script.createCachedData());
};
