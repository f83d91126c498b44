/** Reading files, with every failure turned into a message that says what to do. */
import { readdirSync, readFileSync, type Stats, statSync } from 'node:fs';
import { besideJob, type Files, InputError, limits, nearestWord } from '../internal.js';
import { at, type Io, standardStream } from './io.js';

const largestFile = limits.fileBytes.most;

/**
 * The bytes of a file, or undefined when there is none.
 *
 * @throws InputError when it is a folder or a device, too large, or cannot be read
 */
export const readBytes = (io: Io, path: string): Uint8Array | undefined => {
  if (path === '') return undefined;
  const absolute = at(io, path);
  let stats: Stats | undefined;
  try {
    stats = statSync(absolute, { throwIfNoEntry: false });
  } catch (error) {
    throw unreadable(path, error);
  }
  if (!stats) return undefined;
  const refused = (found: string) =>
    new InputError({
      found,
      expected: 'a file',
      where: { file: path },
      next: 'Give the path of the file itself.',
    });
  if (stats.isDirectory()) throw refused('a folder');
  // A pipe that nobody writes into would be waited for without end.
  if (stats.isFIFO()) throw refused('a pipe');
  if (!stats.isFile()) throw refused('something that is no file');
  if (stats.size > largestFile) throw refused(`a file of ${Math.round(stats.size / 1048576)} MB`);
  try {
    return readFileSync(absolute);
  } catch (error) {
    throw unreadable(path, error);
  }
};

/** The bytes of a file that must be there; `what` names it in the message. */
export const readRequired = (io: Io, path: string, what: string): Uint8Array => {
  const bytes = readBytes(io, path);
  if (bytes) return bytes;
  const near = nearFile(io, path, what === 'a job file' ? ['yaml', 'yml', 'json'] : ['svg', 'dxf']);
  throw new InputError({
    found: 'no such file',
    expected: what,
    where: { file: path },
    next:
      near === undefined
        ? 'Check the path; it counts from the folder the command is called in.'
        : `Did you mean ${near}?`,
  });
};

/** A file beside that path with nearly its name, or with one of these endings behind it. */
const nearFile = (io: Io, path: string, endings: readonly string[]): string | undefined => {
  const [, folder = '', name = ''] = /^(.*[/\\])?([^/\\]*)$/.exec(path) ?? [];
  if (name === '') return undefined;
  let names: string[];
  try {
    names = readdirSync(at(io, folder === '' ? '.' : folder));
  } catch {
    // Without the folder there is nothing beside it; what is wrong with the path is told all the same.
    return undefined;
  }
  const plain = name.replace(/\.[^.]*$/, '').toLowerCase();
  const isOfKind = (one: string): boolean =>
    endings.some((ending) => one.toLowerCase().endsWith(`.${ending}`));
  const ofKind = names.filter(isOfKind).sort();
  const found =
    ofKind.find((one) => one.toLowerCase() === name.toLowerCase()) ??
    ofKind.find((one) => one.replace(/\.[^.]*$/, '').toLowerCase() === plain) ??
    nearestWord(name, ofKind);
  return found === undefined ? undefined : `${folder}${found}`;
};

/** The bytes of a job, from a file that must be there or from standard input. */
export const readJobBytes = async (io: Io, path: string): Promise<Uint8Array> =>
  path === standardStream && io.stdin !== undefined ? io.stdin() : readRequired(io, path, 'a job file');

/**
 * All that a stream brings.
 *
 * @throws InputError beyond the size of the largest file
 */
export const allOf = async (stream: AsyncIterable<Uint8Array>): Promise<Uint8Array> => {
  const parts: Uint8Array[] = [];
  let size = 0;
  try {
    for await (const part of stream) {
      parts.push(part);
      size += part.length;
      if (size > largestFile) break;
    }
  } catch (error) {
    throw unreadable(standardStream, error);
  }
  if (size <= largestFile) return Buffer.concat(parts);
  throw new InputError({
    found: `more than ${largestFile / 1048576} MB on standard input`,
    expected: 'a job file',
    where: { file: standardStream },
    next: 'Check the command before the pipe.',
  });
};

export const isFolder = (io: Io, path: string): boolean => {
  try {
    return statSync(at(io, path), { throwIfNoEntry: false })?.isDirectory() ?? false;
  } catch (error) {
    throw unreadable(path, error);
  }
};

const fileName = (path: string): string => path.replace(/^.*[/\\]/, '');

/** The files a job names, relative to the job file; every path asked for is noted in `used`. */
export const filesBeside = (io: Io, jobPath: string): { files: Files; used: string[] } => {
  const used: string[] = [];
  const read = (path: string) => {
    const beside = besideJob(jobPath, path);
    used.push(beside);
    return readBytes(io, beside);
  };
  const near = (path: string, endings: readonly string[]): string | undefined => {
    const beside = besideJob(jobPath, path);
    const found = nearFile(io, beside, endings);
    return found === undefined
      ? undefined
      : path.slice(0, path.length - fileName(beside).length) + fileName(found);
  };
  return { files: { read, near }, used };
};

const reasons: Readonly<Record<string, string>> = {
  EACCES: 'permission is denied',
  EPERM: 'permission is denied',
  ENOTDIR: 'a part of the path is no folder',
  ELOOP: 'its links lead in a circle',
  ENAMETOOLONG: 'the name is too long',
  ENOSPC: 'the disk is full',
  EDQUOT: 'the disk quota is used up',
  EROFS: 'the disk is read-only',
  EIO: 'the disk reports a fault',
  ENOENT: 'it is not there',
  ERR_INVALID_ARG_VALUE: 'the path holds a zero character',
};

/** Why the system refused, in words where we have them. */
export const reasonOf = (error: unknown): string => {
  const { code, message } = error as { code?: string; message?: string };
  return (code === undefined ? undefined : reasons[code]) ?? message ?? String(error);
};

const unreadable = (path: string, error: unknown): InputError =>
  new InputError({
    found: `a file that cannot be read: ${reasonOf(error)}`,
    expected: 'a file that can be read',
    where: { file: path },
    next: 'Check the path and its permissions.',
  });
