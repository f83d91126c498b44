/**
 * The files beside a job file, however they are reached: a disk, an archive, files dropped on a
 * page.
 */
export interface Files {
  /**
   * The bytes of a file, or undefined when there is none.
   * `path` is relative to the job file's folder (or absolute), exactly as the job file writes it.
   */
  read(path: string): Uint8Array | undefined;
  /**
   * For a path without a file: one beside it with nearly that name, or with one of these endings
   * behind it. Absent where nobody can look.
   */
  near?(path: string, endings: readonly string[]): string | undefined;
}

/**
 * What to do about a file that is not there: a sentence. @param key in the job file; absent: the
 * path stands alone
 */
export const whereMissing = (
  files: Files,
  written: string,
  endings: readonly string[],
  key?: string,
): string => {
  const plain = written.replace(/^[“”„‟"‘’‚«»']+|[“”„‟"‘’‚«»']+$/gu, '');
  if (plain !== written && plain !== '' && files.read(plain) !== undefined)
    return `Take the quotes away, which are none to YAML: ${key === undefined ? '' : `${key}: `}${plain}`;
  const near = files.near?.(plain, endings);
  return near === undefined
    ? 'Correct the path; it counts from the folder of the job file.'
    : `Did you mean ${near}?`;
};

/**
 * A path written in a job file, as it is named in messages: put behind the folder of the job file.
 */
export const besideJob = (jobPath: string, written: string): string => {
  if (/^([/\\]|[A-Za-z]:[/\\])/.test(written)) return written;
  const folder = /^.*[/\\]/.exec(jobPath)?.[0] ?? '';
  return folder + written.replace(/^(\.[/\\])+/, '');
};
