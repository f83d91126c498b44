import type { Job } from '../../src/job/job.js';
import { InputError } from '../../src/job/messages.js';
import { readJob } from '../../src/job/read/read-job.js';

/** The message of an InputError on one line, as `file:line:column (element) found; expected. Next step.` */
export const messageOf = (act: () => unknown): string => {
  try {
    act();
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const { file, line, column, element } = error.where;
    const place = [file, line, column].filter((part) => part !== undefined).join(':');
    return `${place} ${element ? `(${element}) ` : ''}${error.found}; expected ${error.expected}. ${error.next}`;
  }
  return 'no error';
};

/** Reads a job at jobs/fern.yaml with the files beside it given as text. */
export const jobOf = (text: string, files: Readonly<Record<string, string>> = {}): Job => {
  const read = (path: string): Uint8Array | undefined => {
    const found = Object.hasOwn(files, path) ? files[path] : undefined;
    return found === undefined ? undefined : new TextEncoder().encode(found);
  };
  return readJob({ path: 'jobs/fern.yaml', text }, { read });
};

/** The least a job needs; more keys can be put behind it. */
export const least = 'drawing: fern.svg\nreadings: {A: [1, 2]}\n';
