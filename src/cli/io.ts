/** What a command touches beside the files: given by `main` for a process, by a test for a call. */
import { resolve } from 'node:path';
import { schemaVersion } from '../internal.js';

export interface Stream {
  readonly write: (text: string) => void;
  readonly isTTY: boolean;
  /** Where progress may be written from beside the main thread; undefined: nowhere. */
  readonly fd?: number;
}

export interface Io {
  readonly cwd: string;
  /** All that comes in on standard input, the same each time; undefined: there is none. */
  readonly stdin?: () => Promise<Uint8Array>;
  readonly stdout: Stream;
  readonly stderr: Stream;
  /** ISO date of the call; undefined: there is no clock, and a command that needs a day must be told it. */
  readonly today?: string;
}

/** In the place of a job: the one on standard input. In the place of a cut file: standard output. */
export const standardStream = '-';

/** A path as the operator wrote it, made absolute. */
export const at = (io: Io, path: string): string => resolve(io.cwd, path);

/** Exit statuses; 70 (EX_SOFTWARE of BSD's sysexits.h) stands for a fault of the program itself. */
export const status = { done: 0, doesNotFit: 1, wrongInput: 2, noSolution: 3, ownFault: 70 } as const;

/**
 * One object per line, as `--json` promises, the version of that contract first. Characters that a terminal would obey, or that turn the direction of what
 * follows, are written as escapes: an id of a drawing may hold any.
 */
export const jsonLine = (value: object): string =>
  `${JSON.stringify({ schemaVersion, ...value }).replace(obeyed, (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`)}\n`;

/** C1 controls, line and paragraph separators, and what Unicode's bidirectional algorithm (UAX 9) takes for orders. */
const obeyed = /[\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]/g;
