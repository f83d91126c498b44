/** Runs one call in a folder of its own and says what it must not do. */
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FuzzCase } from './cases.js';

interface Stream {
  readonly write: (text: string) => void;
  readonly isTTY: boolean;
}

/** `run` of the command line, built or not. */
export type Run = (
  argv: readonly string[],
  io: {
    readonly cwd: string;
    readonly stdin: () => Promise<Uint8Array>;
    readonly stdout: Stream;
    readonly stderr: Stream;
    readonly today: string;
  },
) => Promise<number>;

export interface Tried {
  readonly status: number;
  readonly faults: readonly string[];
  /** Seconds of the processor. */
  readonly seconds: number;
}

/** Of the processor, for one call. */
export const mostSeconds = 5;

const bytesOf = (text: string): Buffer => Buffer.from(text, 'latin1');

export const putFiles = (folder: string, { files }: FuzzCase): void => {
  for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), bytesOf(text));
};

export const tryCase = async (run: Run, one: FuzzCase): Promise<Tried> => {
  const folder = mkdtempSync(join(tmpdir(), 'reseat-fuzz-'));
  try {
    putFiles(folder, one);
    let out = '';
    let err = '';
    const start = process.cpuUsage();
    const status = await run(one.argv, {
      cwd: folder,
      stdin: async () => bytesOf(one.stdin ?? ''),
      stdout: { write: (text) => (out += text), isTTY: false },
      stderr: { write: (text) => (err += text), isTTY: false },
      today: '2026-11-25',
    });
    const { user, system } = process.cpuUsage(start);
    const seconds = (user + system) / 1e6;
    return { status, seconds, faults: faultsOf(one, folder, { status, out, err, seconds }) };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
};

const faultsOf = (
  { argv, files }: FuzzCase,
  folder: string,
  { status, out, err, seconds }: { status: number; out: string; err: string; seconds: number },
): string[] => {
  const faults: string[] = [];
  if (![0, 1, 2, 3].includes(status)) faults.push(`status ${status}: ${err.slice(0, 600)}`);
  if (/^\s+at .*:\d+/m.test(err)) faults.push(`a stack trace: ${err.slice(0, 600)}`);
  if (seconds > mostSeconds) faults.push(`${seconds.toFixed(1)} s`);
  if (status === 2 && !/\n {2}found: .*\n {2}expected: .*\n {2}next: /s.test(err)) {
    // Figures in doubt that are not written are told with the figures.
    if (argv[0] !== 'calibrate') faults.push(`a refusal without its lines: ${err.slice(0, 300)}`);
  }
  const written = readdirSync(folder).filter((name) => !(name in files));
  if (status >= 2 && written.length > 0)
    faults.push(`status ${status} beside the file ${written.join(', ')}`);
  for (const [name, before] of Object.entries(files)) {
    // A profile is what calibrate writes into.
    if (name === 'bench.yaml' && status < 2) continue;
    if (!readFileSync(join(folder, name)).equals(bytesOf(before))) faults.push(`${name} was changed`);
  }
  for (const name of written) {
    if (/\.(part|before)$/.test(name)) faults.push(`${name} was left`);
    if (/^a\.(svg|dxf|nc)$/.test(name))
      faults.push(...strangeNumbers(name, readFileSync(join(folder, name), 'utf8')));
  }
  if (argv.includes('--json') && !argv.some((word) => ['--help', '-V', '--version'].includes(word))) {
    for (const line of out.split('\n').filter((one) => one !== '')) {
      try {
        if (typeof JSON.parse(line) !== 'object') faults.push(`no object: ${line.slice(0, 80)}`);
      } catch {
        if (argv[0] !== 'help' && !argv.includes('-h')) faults.push(`no JSON: ${line.slice(0, 80)}`);
      }
    }
  }
  return faults;
};

const strangeNumbers = (name: string, text: string): string[] => {
  const found = /(?<![A-Za-z"])(NaN|-?Infinity|undefined|\d[eE][+-]?\d)(?![A-Za-z])/.exec(
    text.replace(/<title>.*?<\/title>|<desc>.*?<\/desc>|<!--.*?-->|\sid="[^"]*"|^\(.*\)$|999\n.*\n/gms, ''),
  );
  return found === null ? [] : [`${found[0]} in ${name}`];
};
