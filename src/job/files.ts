/** The files beside a job file, however they are reached: a disk, an archive, files dropped on a page. */
export interface Files {
  /**
   * The bytes of a file, or undefined when there is none.
   * `path` is relative to the job file's folder (or absolute), exactly as the job file writes it.
   */
  read(path: string): Uint8Array | undefined;
}

/** A path written in a job file, as it is named in messages: put behind the folder of the job file. */
export const besideJob = (jobPath: string, written: string): string => {
  if (/^([/\\]|[A-Za-z]:[/\\])/.test(written)) return written;
  const folder = /^.*[/\\]/.exec(jobPath)?.[0] ?? '';
  return folder + written.replace(/^(\.[/\\])+/, '');
};
