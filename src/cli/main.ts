/** The command line: one function runs a call, one sets the exit status. */
import { faultText, InputError } from '../internal.js';
import { allOf } from './disk.js';
import { type Io, status } from './io.js';
import { runProgram } from './program.js';

/**
 * Runs one call against the given streams and the files below `io.cwd`.
 *
 * @param argv without the names of node and the program
 * @returns the exit status; every failure has been told on `io.stderr`
 */
export const run = async (argv: readonly string[], io: Io): Promise<number> => {
  try {
    return await runProgram(argv, io);
  } catch (error) {
    if (error instanceof InputError) {
      io.stderr.write(`${faultText(error)}\n`);
      return status.wrongInput;
    }
    io.stderr.write(ownFault(error));
    return status.ownFault;
  }
};

const ownFault = (error: unknown): string => {
  const trace = error instanceof Error ? (error.stack ?? error.message) : String(error);
  return `reseat: this is a fault of the program, not of your input.\n${trace}\n`;
};

/** Runs the process's own call and sets its exit status; pending output is written before the process ends. */
export const main = async (argv: readonly string[]): Promise<void> => {
  const { stdout, stderr } = process;
  // Node itself would print a line of the built program, which is a page long.
  process.on('uncaughtException', (error) => {
    stderr.write(ownFault(error));
    process.exit(status.ownFault);
  });
  let unwritten = false;
  stdout.on('error', (error: NodeJS.ErrnoException) => {
    // Whoever reads us may stop early (`| head`): that is no fault.
    if (error.code === 'EPIPE' || unwritten) return;
    unwritten = true;
    stderr.write(`reseat: the output cannot be written: ${error.message}\n`);
    process.exitCode = status.wrongInput;
  });
  stderr.on('error', () => {});
  const stream = (of: NodeJS.WriteStream) => ({
    write: (text: string) => {
      of.write(text);
    },
    isTTY: of.isTTY === true,
    fd: of === stdout ? 1 : 2,
  });
  const result = await run(argv, {
    cwd: process.cwd(),
    stdin: once(() => {
      if (process.stdin.isTTY) stderr.write('reseat: waits for a job; Ctrl-D ends it.\n');
      return allOf(process.stdin);
    }),
    stdout: stream(stdout),
    stderr: stream(stderr),
    today: localDate(new Date()),
  });
  process.exitCode = unwritten ? status.wrongInput : result;
};

const once = <T>(make: () => T): (() => T) => {
  let made: { readonly value: T } | undefined;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
};

/** Today where the workshop is, not in Greenwich. */
const localDate = (now: Date): string => {
  const two = (n: number): string => String(n).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
};
