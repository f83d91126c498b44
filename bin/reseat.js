#!/usr/bin/env node
import { existsSync } from 'node:fs';
import module from 'node:module';
import v8 from 'node:v8';

const program = new URL('../dist/cli.js', import.meta.url);
if (existsSync(program)) {
  // From Node 22 on: keeps compiled code in the user's own cache, and checks it there.
  module.enableCompileCache?.();
  // Code is optimized once it has run five times as long as V8 would wait: a call ends soon after most of it is compiled.
  // Node 20 alone: later ones do not know the flag, say so on stderr, and keep compiled code instead.
  if (process.versions.node.startsWith('20.')) v8.setFlagsFromString('--interrupt-budget=300000');
  const { main } = await import(program.href);
  main(process.argv.slice(2));
} else {
  console.error('reseat: dist/ is not there.\n  next: Run "npm run build" in the folder of reseat.');
  process.exitCode = 2;
}
