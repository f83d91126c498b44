/** A folder with a small panel and its job, and calls of the command line in it. */
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { onTestFinished } from 'vitest';
import { run } from '../../src/cli/main.js';
import { jobText, panel } from './panel.js';
import { expectSchema } from './schemas.js';

export { type JobParts, jobText, panel, placed } from './panel.js';

export interface Called {
  readonly status: number;
  readonly out: string;
  readonly err: string;
}

export interface Workshop {
  readonly folder: string;
  readonly write: (name: string, content: string | Uint8Array) => void;
  readonly read: (name: string) => string;
  /** Every file below the folder. */
  readonly files: () => string[];
  readonly call: (...argv: string[]) => Promise<Called>;
  /** The same with something on standard input. */
  readonly callWith: (stdin: string | Uint8Array, ...argv: string[]) => Promise<Called>;
}

/** An empty folder, gone when the test is over, with the panel and its job in it. */
export const workshop = (): Workshop => {
  const folder = mkdtempSync(join(tmpdir(), 'reseat-'));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  const write = (name: string, content: string | Uint8Array) => {
    mkdirSync(dirname(join(folder, name)), { recursive: true });
    writeFileSync(join(folder, name), content);
  };
  write('panel.svg', panel);
  write('job.yaml', jobText());
  const callWith = async (stdin: string | Uint8Array, ...argv: string[]): Promise<Called> => {
    let out = '';
    let err = '';
    const status = await run(argv, {
      cwd: folder,
      stdin: async () => (typeof stdin === 'string' ? new TextEncoder().encode(stdin) : stdin),
      stdout: { write: (text) => (out += text), isTTY: false },
      stderr: { write: (text) => (err += text), isTTY: false },
      today: '2026-11-25',
    });
    if (argv.includes('--json')) expectSchema(argv, out);
    return { status, out, err };
  };
  return {
    folder,
    write,
    read: (name) => readFileSync(join(folder, name), 'utf8'),
    files: () =>
      readdirSync(folder, { recursive: true, withFileTypes: true })
        .filter((entry) => entry.isFile())
        .map((entry) => join(entry.parentPath, entry.name).slice(folder.length + 1))
        .sort(),
    call: (...argv) => callWith('', ...argv),
    callWith,
  };
};
