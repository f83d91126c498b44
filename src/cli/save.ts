/** Writing results: each file whole or not at all, none overwritten unless that was asked for. */
import { randomBytes } from 'node:crypto';
import {
  chmodSync,
  closeSync,
  constants,
  copyFileSync,
  fsyncSync,
  linkSync,
  lstatSync,
  openSync,
  realpathSync,
  renameSync,
  rmSync,
  type Stats,
  statSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { InputError } from '../internal.js';
import { reasonOf } from './disk.js';
import { at, type Io } from './io.js';

export interface SaveOptions {
  /** Overwrite what is there. */
  readonly force: boolean;
  /** Paths of everything that was read: no result may take their place, forced or not. */
  readonly inputs: readonly string[];
  /** What is written, for messages; default a cut file. */
  readonly what?: string;
}

/** A place for a result that was checked: it can be written, and doing so harms nothing. */
export interface Target {
  /** As the operator wrote it. */
  readonly path: string;
  readonly absolute: string;
  /** Permissions of the file that is to be replaced. */
  readonly mode?: number;
}

const fault = (path: string, found: string, expected: string, next: string): InputError =>
  new InputError({ found, expected, where: { file: path }, next });

/**
 * Checks the place for a result before any work is done.
 *
 * @throws InputError when it exists and `force` is off, is an input, is no plain file, or has no folder
 */
export const targetFor = (io: Io, path: string, { force, inputs, what }: SaveOptions): Target => {
  const absolute = at(io, path);
  const folder = statOf(dirname(absolute), path);
  if (!folder?.isDirectory()) {
    const next = `Make the folder first (mkdir ${dirname(path)}), or choose another.`;
    throw fault(path, `${what ?? 'a cut file'} in a folder that does not exist`, 'an existing folder', next);
  }
  const present = statOf(absolute, path);
  if (!present) {
    if (lstatSync(absolute, { throwIfNoEntry: false })) {
      throw fault(
        path,
        'a link that leads nowhere',
        'a new file',
        'Remove the link, or choose another name.',
      );
    }
    return { path, absolute: join(realpathSync(dirname(absolute)), basename(absolute)) };
  }
  if (present.isDirectory()) {
    throw fault(path, 'a folder', 'the name of a file', 'Add the name of the file, as in out/fern.svg.');
  }
  const clash = inputs.find((input) => isSame(present, statOf(at(io, input), input)));
  if (clash !== undefined) {
    throw fault(
      path,
      `the result in place of ${clash}, which ${what === undefined ? 'the job reads' : 'this call reads'}`,
      'a file of its own',
      'Choose another name.',
    );
  }
  if (!present.isFile()) {
    throw fault(path, 'something that is no plain file', 'the name of a file', 'Choose another name.');
  }
  if (!force) {
    const next = 'Choose another name, or add --force to replace it.';
    throw fault(path, 'a file that exists already', 'a new file', next);
  }
  return { path, absolute: realpathSync(absolute), mode: present.mode & 0o7777 };
};

const statOf = (absolute: string, path: string): Stats | undefined => {
  try {
    return statSync(absolute, { throwIfNoEntry: false });
  } catch (error) {
    throw fault(path, `a path that cannot be used: ${reasonOf(error)}`, 'a path', 'Check the path.');
  }
};

const isSame = (a: Stats, b: Stats | undefined): boolean =>
  b !== undefined && a.ino === b.ino && a.dev === b.dev;

/**
 * Refuses two results of one call in one place, however their paths are spelled.
 *
 * @throws InputError
 */
export const refuseSamePlace = (targets: readonly Target[]): void => {
  const owners = new Map<string, Target>();
  for (const target of targets) {
    // A file has one inode under all its names; a new one is told by its path, whose folder has no links in it.
    const present = statSync(target.absolute, { throwIfNoEntry: false });
    const place = present === undefined ? target.absolute : `${present.dev}:${present.ino}`;
    const owner = owners.get(place);
    if (owner !== undefined) {
      throw fault(
        target.path,
        owner.path === target.path
          ? 'the same file for two results'
          : `the same file for two results: ${owner.path} is this place as well`,
        'a file for each',
        'Choose another name for one of them.',
      );
    }
    owners.set(place, target);
  }
};

/**
 * Writes all texts or none: first each into a file of its own beside its target, then all into place. A target
 * that appeared in the meantime is not overwritten; one that is replaced is kept beside its place until all are written.
 *
 * @throws InputError when the system refuses; everything is then as it was before
 */
export const saveAll = (results: readonly { target: Target; text: string | Uint8Array }[]): void => {
  refuseSamePlace(results.map(({ target }) => target));
  finishFirst();
  const waiting: { target: Target; temporary: string }[] = [];
  const placed: string[] = [];
  const kept: { target: Target; before: string }[] = [];
  let current: Target | undefined;
  try {
    for (const { target, text } of results) {
      current = target;
      const temporary = `${target.absolute}.${randomBytes(6).toString('hex')}.part`;
      waiting.push({ target, temporary });
      writeWhole(temporary, text, target.mode);
    }
    for (const { target, temporary } of waiting) {
      current = target;
      if (target.mode === undefined) {
        placeNew(temporary, target.absolute);
        placed.push(target.absolute);
      } else {
        if (waiting.length > 1) {
          const before = `${temporary}.before`;
          keepBeside(target.absolute, before);
          kept.push({ target, before });
        }
        renameSync(temporary, target.absolute);
      }
    }
  } catch (error) {
    for (const path of placed) rmSync(path, { force: true });
    for (const { target, before } of kept) renameSync(before, target.absolute);
    kept.length = 0;
    const exists = (error as { code?: string }).code === 'EEXIST';
    throw fault(
      current!.path,
      exists ? 'a file that exists already' : `a file that cannot be written: ${reasonOf(error)}`,
      exists ? 'a new file' : 'a file that can be written',
      exists
        ? 'Choose another name, or add --force to replace it.'
        : 'Choose another place. Nothing was written.',
    );
  } finally {
    for (const { temporary } of waiting) rmSync(temporary, { force: true });
    for (const { before } of kept) rmSync(before, { force: true });
  }
};

/**
 * From the first write on a signal ends the process only when what is being written stands or is taken away again: a
 * listener is called between two pieces of work, where the system's own treatment stops in the middle of one.
 */
const finishFirst = (): void => {
  for (const [signal, number] of [
    ['SIGINT', 2],
    ['SIGTERM', 15],
    ['SIGHUP', 1],
  ] as const)
    if (process.listenerCount(signal) === 0) process.once(signal, () => process.exit(128 + number));
};

/** A second name for the file as it is; a copy on a disk without links. */
const keepBeside = (path: string, second: string): void => {
  try {
    linkSync(path, second);
  } catch {
    try {
      copyFileSync(path, second, constants.COPYFILE_EXCL);
    } catch (error) {
      rmSync(second, { force: true });
      throw error;
    }
  }
};

const writeWhole = (path: string, text: string | Uint8Array, mode: number | undefined): void => {
  const file = openSync(path, 'wx');
  try {
    writeFileSync(file, text);
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
  if (mode !== undefined) chmodSync(path, mode);
};

/** A link fails when the name is taken, which a rename does not; a disk without links gets an empty file first. */
const placeNew = (temporary: string, target: string): void => {
  try {
    linkSync(temporary, target);
  } catch (error) {
    const { code } = error as { code?: string };
    if (code === 'EEXIST' || code === 'ENOENT') throw error;
    closeSync(openSync(target, 'wx'));
    try {
      renameSync(temporary, target);
    } catch (second) {
      rmSync(target, { force: true });
      throw second;
    }
  }
};
