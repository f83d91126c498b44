/** Packages whose files a test reads as data: fetched the first time they are wanted, kept in a cache, never in the project. */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';

const cache = join(import.meta.dirname, '..', '..', 'node_modules', '.cache', 'dxf-corpus');

/** The folder of a package of the npm registry, or the reason why it cannot be had. */
export const npmPackage = (spec: string): string | { readonly reason: string } =>
  unpacked(spec, (into) => {
    run('npm', ['pack', spec, '--silent', '--pack-destination', into], into);
    run('tar', ['xzf', readdirSync(into).find((name) => name.endsWith('.tgz'))!], into);
  });

/** The folder of a package, filled the first time it is wanted. */
export const unpacked = (
  spec: string,
  fill: (into: string) => void,
): string | { readonly reason: string } => {
  const folder = join(cache, spec.replace(/[^\w.-]/g, '_'));
  if (existsSync(folder)) return folder;
  mkdirSync(cache, { recursive: true });
  const part = mkdtempSync(join(cache, 'part-'));
  try {
    fill(part);
    renameSync(part, folder);
    return folder;
  } catch (error) {
    rmSync(part, { recursive: true });
    return { reason: String(error instanceof Error ? error.message : error).split('\n')[0]! };
  }
};

export const run = (program: string, args: readonly string[], folder: string): void => {
  const done = spawnSync(program, args, { cwd: folder, encoding: 'utf8', timeout: 60_000 });
  if (done.error !== undefined) throw done.error;
  if (done.status !== 0) throw new Error(`${program} failed: ${done.stderr.trim().split('\n').at(-1)}`);
};
